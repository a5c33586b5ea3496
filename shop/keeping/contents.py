"""What is in a backup: the database, the files, the keys, and a manifest of them.

A tar stream. The manifest comes last, with the SHA-256 of all that came before it.
Format 1 had no keys in it.
"""

import hashlib
import json
import os
import tarfile
import tempfile
import tomllib
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field
from datetime import datetime
from pathlib import Path, PurePosixPath
from typing import IO, Any, BinaryIO, cast

from django.conf import settings
from django.core.files.storage import Storage, default_storage
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from shop.keeping import key_files
from shop.keeping.key_files import Marks
from shop.keeping.sealed import Damaged, Foreign
from shop.keeping.snapshots import Counts, Snapshot

FORMAT = 2
MANIFEST = "manifest.json"
FILES, KEYS = "files/", "keys/"
IN_MEMORY = 8 * 1024 * 1024
PIECE = 1024 * 1024


@dataclass(frozen=True)
class Member:
    name: str
    size: int
    sha256: str


@dataclass
class Manifest:
    """``gone``: files that were removed while the backup was made.

    ``marks`` is of the keys then in force; a backup of format 1 has none.
    """

    made_at: str
    version: str
    vendor: str
    migrations: dict[str, str]
    counts: Counts
    members: list[Member] = field(default_factory=list)
    gone: list[str] = field(default_factory=list)
    marks: Marks | None = None
    format: int = FORMAT

    @property
    def database(self) -> str:
        return self.members[0].name

    def names_in(self, folder: str) -> list[str]:
        """What lies in ``FILES`` or ``KEYS``, without that beginning."""
        inside = [m.name for m in self.members if m.name.startswith(folder)]
        return [name.removeprefix(folder) for name in inside]


def write(target: BinaryIO, snapshot: Snapshot, now: datetime) -> Manifest:
    manifest = Manifest(
        made_at=now.isoformat(),
        version=version(),
        vendor=connection.vendor,
        migrations=migrations(),
        counts=snapshot.counts,
        marks=key_files.marks(),
        format=FORMAT,
    )
    with tarfile.open(fileobj=target, mode="w|", format=tarfile.PAX_FORMAT) as tar:
        with snapshot.file.open("rb") as database:
            manifest.members.append(_add(tar, snapshot.file.name, database))
        for name in files_of(default_storage):
            _add_file(tar, name, manifest)
        for name, place in key_files.in_force().items():
            with place.open("rb") as key:
                manifest.members.append(_add(tar, KEYS + name, key))
        told = json.dumps(asdict(manifest), indent=1).encode()
        with tempfile.SpooledTemporaryFile(IN_MEMORY) as file:
            file.write(told)
            _add(tar, MANIFEST, file)
    return manifest


def version() -> str:
    told = (Path(settings.BASE_DIR) / "pyproject.toml").read_text(encoding="utf-8")
    return str(tomllib.loads(told)["project"]["version"])


def migrations() -> dict[str, str]:
    """The last migration of each room that the database has."""
    applied = sorted(MigrationRecorder(connection).applied_migrations())
    return dict(applied)


def files_of(storage: Storage, folder: str = "") -> Iterator[str]:
    """Every file's name, folder by folder; none where nothing was kept yet."""
    try:
        folders, names = storage.listdir(folder)
    except FileNotFoundError:
        return
    inside = f"{folder}/" if folder else ""
    yield from (inside + name for name in sorted(names) if name)
    for one in sorted(folders):
        yield from files_of(storage, inside + one)


def _add_file(tar: tarfile.TarFile, name: str, manifest: Manifest) -> None:
    """Copied aside first: its size must stand before it."""
    with tempfile.SpooledTemporaryFile(IN_MEMORY, dir=str(settings.DATA_DIR)) as aside:
        try:
            with default_storage.open(name) as file:
                for piece in file.chunks(PIECE):
                    aside.write(piece)
        except FileNotFoundError:
            manifest.gone.append(name)
            return
        manifest.members.append(_add(tar, FILES + name, aside))


class Hashed:
    """A file that is hashed as it is read."""

    def __init__(self, file: IO[bytes]) -> None:
        self.file, self.digest = file, hashlib.sha256()

    def read(self, size: int = -1) -> bytes:
        piece = self.file.read(size)
        self.digest.update(piece)
        return piece


def _add(tar: tarfile.TarFile, name: str, file: IO[bytes]) -> Member:
    info = tarfile.TarInfo(name)
    info.size = file.seek(0, 2)
    info.mode = 0o600
    file.seek(0)
    hashed = Hashed(file)
    tar.addfile(info, cast(IO[bytes], hashed))
    return Member(name, info.size, hashed.digest.hexdigest())


def read(source: BinaryIO, into: Path | None = None) -> Manifest:
    """Read a backup to its end, and unpack it into a folder where one is given.

    Raises ``Damaged`` unless all of it is as told, ``Foreign`` where it is of a
    newer version. What was unpacked until then is no use.
    """
    found: list[Member] = []
    told: dict[str, Any] | None = None
    try:
        with tarfile.open(fileobj=source, mode="r|") as tar:
            for info in tar:
                file = tar.extractfile(info)
                if file is None or told is not None:
                    raise Damaged(info.name)
                if info.name == MANIFEST:
                    told = json.load(file)
                else:
                    found.append(_read(info, file, into))
    except (tarfile.TarError, ValueError) as error:
        raise Damaged(type(error).__name__) from None
    while source.read(PIECE):
        pass  # to the end: only there it is known to be whole
    if told is None:
        raise Damaged(MANIFEST)
    manifest = _manifest(told)
    if manifest.members != found or not found:
        raise Damaged(MANIFEST)
    return manifest


def _manifest(told: dict[str, Any]) -> Manifest:
    if told["format"] > FORMAT:
        raise Foreign("of a newer version of Coldrail")
    members = [Member(**one) for one in told["members"]]
    marked = told.get("marks")
    marks = Marks(**marked) if marked else None
    return Manifest(**told | {"members": members, "marks": marks})


def _read(info: tarfile.TarInfo, file: IO[bytes], into: Path | None) -> Member:
    hashed = Hashed(file)
    with _target(info.name, into) as target:
        while piece := hashed.read(PIECE):
            target.write(piece)
    return Member(info.name, info.size, hashed.digest.hexdigest())


def _target(name: str, into: Path | None) -> IO[bytes]:
    """A new file of ours alone, never outside the folder."""
    if into is None:
        return Path(os.devnull).open("wb")
    parts = PurePosixPath(name).parts
    if not parts or parts[0] == "/" or ".." in parts:
        raise Damaged(MANIFEST)
    path = into.joinpath(*parts)
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    return os.fdopen(handle, "wb")
