"""What was made ready aside, moved to where the shop looks; a shop here, put aside."""

import os
import shutil
from pathlib import Path

from django.conf import settings
from django.core.files import File
from django.core.files.storage import default_storage
from django.db import connection
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.keeping import backups, contents, ground, key_files
from shop.keeping.contents import Manifest
from shop.keeping.place import here
from shop.records import restored
from shop.records.errors import Refused

BEGUN = "restore.begun"
DATABASE = "coldrail.sqlite3"


def is_half_done() -> bool:
    """Whether a restore was stopped while it moved things into place."""
    return (Path(settings.DATA_DIR) / BEGUN).exists()


def in_place(manifest: Manifest, folder: Path, beside: Path) -> Path | None:
    """The moves. A restore that dies here is known by its mark and begins anew."""
    os.sync()
    mark = Path(settings.DATA_DIR) / BEGUN
    mark.touch(mode=0o600)
    put_aside = _put_aside()
    _files_in_place(manifest, folder)
    for name in key_files.NAMES:
        made = folder / name
        if made.is_file():
            place = key_files.place_of(name)
            place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            shutil.move(made, place)
    if connection.vendor == "sqlite":
        shutil.move(folder / DATABASE, ground.database_file())
    _lists_along(beside)
    os.sync()
    mark.unlink()
    return put_aside


def _lists_along(beside: Path) -> None:
    """What lay beside the backup goes on beside those that are made here."""
    for name in restored.LISTS:
        if lines := restored.lines_of(beside / name):
            here().mkdir(mode=0o700, parents=True, exist_ok=True)
            restored.lines_add(here() / name, lines)


def _put_aside() -> Path | None:
    """What stands here goes into a folder named by the moment; ``None``: nothing."""
    going = {**_database_here(), **_files_here()}
    if not going:
        return None
    going |= {name: key_files.place_of(name) for name in key_files.NAMES}
    stamp = f"{timezone.now():{backups.STAMP}}"
    folder = Path(settings.DATA_DIR) / f"replaced-{stamp}"
    for name, path in going.items():
        if path.exists():
            (folder / name).parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            shutil.move(path, folder / name)
    return folder


def _database_here() -> dict[str, Path]:
    if connection.vendor != "sqlite":
        return {}
    connection.close()
    file = ground.database_file()
    found = [file.with_name(file.name + end) for end in ("", "-wal", "-shm")]
    return {path.name: path for path in found if path.exists()}


def _files_here() -> dict[str, Path]:
    folder = _folder_of_files()
    if folder is None or not folder.is_dir():
        return {}
    return {f"files/{path.name}": path for path in folder.iterdir()}


def _files_in_place(manifest: Manifest, folder: Path) -> None:
    """By renaming where the shop's files are a folder, else one after the other."""
    unpacked = folder / contents.FILES.strip("/")
    if not unpacked.is_dir():
        return
    if location := _folder_of_files():
        location.mkdir(mode=0o700, parents=True, exist_ok=True)
        for entry in unpacked.iterdir():
            shutil.move(entry, location / entry.name)
        return
    for name in manifest.names_in(contents.FILES):
        with (unpacked / name).open("rb") as file:
            kept = default_storage.save(name, File(file))
        if kept != name:
            raise Refused(_("The place for files is not empty: %s") % name)


def _folder_of_files() -> Path | None:
    try:
        return Path(default_storage.path(""))
    except NotImplementedError:
        return None
