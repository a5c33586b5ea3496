"""Making a backup and looking whether one is whole.

Under its own name a backup is always one that was read back and opened: it is
written to another name first, and what fails half-way is removed.
"""

import fcntl
import logging
import os
import re
import secrets
import shutil
import socket
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from django.db import connection
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.keeping import contents, recovery
from shop.keeping.contents import Manifest
from shop.keeping.place import backup_place, here
from shop.keeping.rotation import to_keep
from shop.keeping.sealed import (
    SALT_BYTES,
    Damaged,
    Foreign,
    Opener,
    Sealer,
    key_id,
    wanted_key,
)
from shop.keeping.snapshots import snapshot
from shop.people.models import Shop
from shop.records import jobs
from shop.records.errors import Refused

log = logging.getLogger(__name__)
NAME = re.compile(r"coldrail-(\d{4}-\d\d-\d\dT\d{6})Z\.backup")
STAMP = "%Y-%m-%dT%H%M%S"
PART = f".{socket.gethostname()}.part"
ASIDE = "backup-aside-"


@dataclass(frozen=True)
class Backup:
    """A backup that was read back, and what is in it."""

    file: Path
    manifest: Manifest


def nightly() -> None:
    """The job."""
    key_ensure()
    try:
        made = backup_make()
    except Refused as refusal:
        raise jobs.Said(str(refusal)) from refusal
    log.info("Backup %s: %d files", made.file.name, len(made.manifest.members))


def key_ensure() -> None:
    """Make a key where there is none; one that nobody has seen yet.

    Not with PostgreSQL: there another machine may hold the key.
    """
    if not recovery.known() and connection.vendor == "sqlite":
        recovery.key_make(is_told=False)


def shop_zone() -> tzinfo:
    shop = Shop.objects.order_by("id").first()
    return shop.zone if shop else UTC


def backup_make() -> Backup:
    """Write a backup, read it back, copy it on, let the old ones go.

    Where the shop's place is missing it is made on this machine all the same, and
    that is refused: somebody has to see to the place.
    """
    from shop.keeping import copies  # noqa: PLC0415  it copies what is made here

    keys = recovery.known()
    if not keys:
        raise Refused(_("There is no recovery key: manage.py backup --new-key"))
    place, wrong = _place_now()
    with alone():
        sweep_leftovers(place)
        try:
            made = _made(place, keys[-1].secret)
        except (OSError, sqlite3.Error) as error:
            raise Refused(
                _("No backup was made in %(place)s: %(reason)s.")
                % {"place": place, "reason": reason_of(error)}
            ) from error
        rotate(place)
        wrong += copies.copy_to_all(made)
    if wrong:
        made_at = {"wrong": " ".join(wrong), "place": place}
        raise Refused(_("%(wrong)s A backup was made in %(place)s alone.") % made_at)
    return made


def _place_now() -> tuple[Path, list[str]]:
    """Where to write first, and what is wrong with the place that was chosen."""
    try:
        return backup_place(), []
    except Refused as refusal:
        here().mkdir(mode=0o700, parents=True, exist_ok=True)
        return here(), [str(refusal)]


@contextmanager
def alone() -> Iterator[None]:
    """One backup at a time on this machine; the system lets go of the lock."""
    with (Path(settings.DATA_DIR) / "backup.lock").open("w") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise Refused(_("Another backup is being made just now.")) from None
        yield


def _made(place: Path, secret: bytes) -> Backup:
    now = timezone.now()
    file = place / f"coldrail-{now:{STAMP}}Z.backup"
    part = file.with_name(file.name + PART)
    try:
        with aside() as folder:
            write(part, folder, secret, now)
        manifest = backup_check(part)
        part.replace(file)
        _sync_folder(place)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    return Backup(file, manifest)


def reason_of(error: OSError | sqlite3.Error) -> str:
    if isinstance(error, OSError) and error.errno:
        return os.strerror(error.errno)
    return type(error).__name__


@contextmanager
def aside() -> Iterator[Path]:
    """A folder of our own for the snapshot, beside the database it is of."""
    folder = Path(tempfile.mkdtemp(dir=settings.DATA_DIR, prefix=ASIDE))  # 0700
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def write(part: Path, folder: Path, secret: bytes, now: datetime) -> None:
    """A new sealed file; ``folder`` is for the snapshot meanwhile."""
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as target:
        sealer = Sealer(target, secret, secrets.token_bytes(SALT_BYTES))
        contents.write(sealer, snapshot(folder), now)  # type: ignore[arg-type]
        sealer.finish()
        target.flush()
        os.fsync(target.fileno())
        if hasattr(os, "posix_fadvise"):  # so that it is read from the disk again
            os.posix_fadvise(target.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)


def _sync_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def backup_check(file: Path, secret: bytes | None = None) -> Manifest:
    """Open all of a backup. Refused, in a plain sentence, unless it is whole."""
    with file.open("rb") as source, refusing(file):
        key = secret or key_for(source)
        return contents.read(Opener(source, key))  # type: ignore[arg-type]


@contextmanager
def refusing(file: Path) -> Iterator[None]:
    """What is wrong with a backup, said plainly."""
    try:
        yield
    except Foreign as error:
        raise Refused(
            _("%(file)s is refused: %(why)s.") % {"file": file.name, "why": str(error)}
        ) from None
    except Damaged as error:
        raise Refused(
            _("%(file)s is damaged or not whole (%(where)s): it is refused.")
            % {"file": file.name, "where": str(error)}
        ) from None


def key_for(source: BinaryIO) -> bytes:
    """The key of this machine that fits; the source stands at its beginning again."""
    wanted = wanted_key(source)
    source.seek(0)
    for key in recovery.known():
        if key_id(key.secret) == wanted:
            return key.secret
    raise Foreign(_("made with another recovery key"))


def kept_in(place: Path) -> dict[datetime, Path]:
    """The backups of a folder by when they were made."""
    found = {}
    for file in place.iterdir():
        if name := NAME.fullmatch(file.name):
            found[datetime.strptime(name[1], STAMP).replace(tzinfo=UTC)] = file
    return found


def rotate(place: Path) -> None:
    kept = kept_in(place)
    for made in set(kept) - to_keep(kept.keys()):
        kept[made].unlink(missing_ok=True)


def sweep_leftovers(place: Path) -> None:
    """What a killed run of this machine has left."""
    for part in place.glob(f"coldrail-*.backup{PART}"):
        part.unlink(missing_ok=True)
    for folder in Path(settings.DATA_DIR).glob(f"{ASIDE}*"):
        shutil.rmtree(folder, ignore_errors=True)
