"""Putting a backup back: all of it unpacked and proved aside, then moved into place.

Aside is a whole installation of its own, a folder beside the data: there the database
is brought up to this version and made ready (``finishing``) by a process of its own.
Only what went well is moved to where the shop looks, the database last, so that a
shop stands here wholly or not at all. A replaced shop is put aside, never deleted.
"""

import fcntl
import json
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.db import DatabaseError, connection
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.keeping import (
    backups,
    contents,
    ground,
    key_files,
    placing,
    postgres,
    recovery,
)
from shop.keeping.contents import Manifest
from shop.keeping.moving import Moving, Unequal
from shop.keeping.sealed import Opener
from shop.keeping.standing_still import connected
from shop.records import own_files
from shop.records.errors import Refused

ASIDE = "restore-aside-"
NOTHING_DONE = gettext_lazy("Nothing was restored: %(reason)s.")
STOPPED = gettext_lazy(
    "The restore stopped while it moved things into place: %(reason)s. Mend that, and "
    "run it again."
)


@dataclass(frozen=True)
class Wish:
    """What a person asked for. ``replace`` is the name of the shop that gives way."""

    file: Path
    secret: bytes | None = None
    replace: str = ""
    new_keys: bool = False


@dataclass(frozen=True)
class Outcome:
    """What was put back; ``told`` is what the finishing says, ``put_aside`` where."""

    manifest: Manifest
    told: Mapping[str, Any] = field(default_factory=dict)
    put_aside: Path | None = None


def restore(wish: Wish) -> Outcome:
    """Put a backup back; refused, with nothing touched, unless all of it is right."""
    with alone(), backups.alone():
        refuse_occupied(wish)
        ground.refuse_little_room(wish.file)
        sweep()
        try:
            with _aside() as folder:
                manifest = _unpacked(wish, folder)
                told = _made_ready(wish, manifest, folder)
                with postgres.emptied_unless_well():
                    put_aside = placing.in_place(
                        manifest, folder, wish.file.resolve().parent
                    )
        except (OSError, sqlite3.Error) as error:
            said = STOPPED if placing.is_half_done() else NOTHING_DONE
            reason = {"reason": backups.reason_of(error)}
            raise Refused(str(said) % reason) from error
    return Outcome(manifest, told, put_aside)


def refuse_occupied(wish: Wish) -> None:
    """A restore that died among its moves is done again, over what it has left."""
    stands = ground.look()
    if stands.vendor != "sqlite" or not placing.is_half_done():
        ground.refuse_occupied(stands, wish.replace)


def look(wish: Wish) -> Outcome:
    """The same refusals, and nothing else done."""
    with alone():
        refuse_occupied(wish)
        ground.refuse_little_room(wish.file)
        with _aside() as folder:
            return Outcome(_unpacked(wish, folder))


@contextmanager
def alone() -> Iterator[None]:
    """One restore at a time, of this machine and on this PostgreSQL."""
    with (Path(settings.DATA_DIR) / "restore.lock").open("w") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise Refused(_("A restore is under way already.")) from None
        with postgres.locked(ground.ONE_AT_A_TIME):
            yield


@contextmanager
def _aside() -> Iterator[Path]:
    folder = Path(tempfile.mkdtemp(dir=settings.DATA_DIR, prefix=ASIDE))  # 0700
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def sweep() -> None:
    """What killed restores have left aside."""
    for folder in Path(settings.DATA_DIR).glob(f"{ASIDE}*"):
        shutil.rmtree(folder, ignore_errors=True)


def _unpacked(wish: Wish, folder: Path) -> Manifest:
    """Every byte of the backup proved, in a folder of its own."""
    with wish.file.open("rb") as source, backups.refusing(wish.file):
        key = wish.secret or backups.key_for(source)
        manifest = contents.read(Opener(source, key), folder)  # type: ignore[arg-type]
    ground.refuse_unfit(manifest)
    if not wish.new_keys:
        ground.refuse_other_keys(manifest, folder)
    return manifest


# --- made ready, aside ---------------------------------------------------------


def _made_ready(wish: Wish, manifest: Manifest, folder: Path) -> dict[str, Any]:
    """The database at this version, with what of before must not go on."""
    _keys_in(folder, wish)
    database = folder / manifest.database
    own = folder / placing.DATABASE
    if manifest.vendor == "sqlite":
        database.rename(own)
        told = _finished(wish, manifest, folder, f"sqlite:///{own}")
        if connection.vendor == "postgresql":
            with postgres.emptied_unless_well():
                _move_over(own)
        return told
    postgres.restore(database)
    with postgres.emptied_unless_well():
        return _finished(wish, manifest, folder, postgres.url())


def _move_over(own: Path) -> None:
    """From SQLite to this installation's PostgreSQL, proved equal."""
    call_command("migrate", verbosity=0, without_backup=True)
    try:
        with connected(f"sqlite:///{own}", "restored") as alias:
            Moving(alias, "default").move()
    except (Unequal, DatabaseError) as error:
        reason = {"reason": type(error).__name__}
        raise Refused(str(NOTHING_DONE) % reason) from error


def _keys_in(folder: Path, wish: Wish) -> None:
    """The keys to where an installation has them; this machine's where new ones are."""
    inside = folder / "keys"
    if wish.new_keys:
        shutil.rmtree(inside, ignore_errors=True)
        inside.mkdir()
        for name in (key_files.SECRET, key_files.FIELDS):
            if (place := key_files.place_of(name)).is_file():
                shutil.copy2(place, inside / name)
    if not inside.is_dir():
        return
    for entry in inside.iterdir():
        entry.rename(folder / entry.name)
    _recovery_key_in(folder / key_files.RECOVERY, wish)


def _recovery_key_in(file: Path, wish: Wish) -> None:
    """Whoever restores has the key: there is nothing left to tell."""
    lines = file.read_text().split("\n") if file.exists() else []
    lines = [line.partition(" ")[0] for line in lines if line]
    if wish.secret:
        typed = str(recovery.Key(wish.secret, is_told=True))
        lines = [*(line for line in lines if line != typed), typed]
    told = "".join(f"{line} {recovery.TOLD}\n" for line in lines)
    if told:
        own_files.put(file, told.encode())


def _finished(wish: Wish, manifest: Manifest, folder: Path, url: str) -> dict[str, Any]:
    asked = {
        "beside": str(wish.file.resolve().parent),
        "name": wish.file.name,
        "made_at": manifest.made_at,
        "version": manifest.version,
        "has_keys": not wish.new_keys,
        "counts": manifest.counts,
    }
    said = _run(folder, url, "restore", "--finish", json.dumps(asked))
    told: dict[str, Any] = json.loads(said.strip().splitlines()[-1])
    return told


def _run(folder: Path, url: str, *words: str) -> str:
    """One of our commands, in the installation that lies aside."""
    own = {
        "COLDRAIL_DATA": str(folder),
        "COLDRAIL_PROFILE": settings.PROFILE,
        "DATABASE_URL": url,
        "COLDRAIL_BACKUP_DIR": "",
        "COLDRAIL_FILES": "",
        "DJANGO_SETTINGS_MODULE": "shop.settings",
        "PYTHONPATH": str(settings.BASE_DIR),
    }
    done = subprocess.run(  # noqa: S603  our own command
        [sys.executable, "-m", "django", *words],
        env=os.environ | own,
        cwd=settings.BASE_DIR,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        reason = (done.stderr or done.stdout).strip().splitlines() or ["?"]
        raise Refused(str(NOTHING_DONE) % {"reason": reason[-1].rstrip(".")})
    return done.stdout
