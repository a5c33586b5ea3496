"""Backups put back on empty machines, again and again, and spoilt ones between.

The demo shop, with photos. Each round a backup of it is made, every second time while
somebody writes; changed copies of it are given to an empty machine, which refuses each
and stands as it stood; then the whole one is restored there and held against the shop:
each table by its rows, each file by its SHA-256, and somebody comes in.
"""

import random
import tempfile
import threading
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from typing import Any
from unittest.mock import patch

import psycopg

from tests.drills import backups as changed_copies
from tests.drills.empty_machine import EmptyMachine
from tests.drills.place import Result

RESTORES = 20
LIES = ("another key", "newer format", "newer tables", "half a file", "empty")
WAYS = (*changed_copies.WAYS, *LIES)
# What is ended, counted on or said anew by the restore itself.
CHANGED = {
    *("django_session", "people_person", "records_lease", "records_event"),
    *("records_outgoingmessage", "photos_link", "sqlite_sequence"),
}


@dataclass
class Drill:
    """One run: what was done, and what was not as it should be."""

    folder: Path
    chance: random.Random
    spoilt: int
    done: Counter[str] = field(default_factory=Counter)
    lost: list[str] = field(default_factory=list)

    def round(self, number: int) -> None:
        made, key = self.backup(is_busy=number % 2 == 1)
        proofs = proofs_of("default") if number % 2 == 0 else {}
        with target(self.folder / f"machine-{number}") as (machine, url):
            before = standing(machine, url)
            for turn in range(self.spoilt):
                way = WAYS[(number * self.spoilt + turn) % len(WAYS)]
                self.refused(machine, made, key, way)
                if standing(machine, url) != before:
                    self.lost.append(f"{way} touched something")
            self.restored(machine, url, made, key, proofs)

    def backup(self, *, is_busy: bool) -> tuple[Path, str]:
        from shop.keeping import backups, recovery

        with writing() if is_busy else quiet():
            made = backups.backup_make()
        return made.file, str(recovery.known()[-1])

    def refused(self, machine: EmptyMachine, made: Path, key: str, way: str) -> None:
        file, typed = spoilt(made, key, way, self.chance, self.folder)
        answer = machine.ask(file=str(file), key=typed)
        self.done["refused"] += "refused" in answer
        if "refused" not in answer:
            self.lost.append(f"{way} was restored")

    def restored(
        self,
        machine: EmptyMachine,
        url: str,
        made: Path,
        key: str,
        proofs: dict[str, Any],
    ) -> None:
        answer = machine.ask(file=str(made), key=key)
        if "done" not in answer:
            self.lost.append(f"a whole one: {answer}")
            return
        self.done["restored"] += 1
        seen = machine.ask(look=True)
        if not (seen["comes_in"] and seen["invoice"]):
            self.lost.append(f"nobody comes in, or no invoice: {seen}")
        self.lost += differences(url, machine.folder, proofs)


def standing(machine: EmptyMachine, url: str) -> dict[str, str]:
    """Every file of the machine, and every table of its PostgreSQL."""
    if not url.startswith("postgres"):
        return machine.stands()
    with psycopg.connect(url) as line:
        tables = line.execute(
            "SELECT tablename FROM pg_tables WHERE schemaname = current_schema()"
        )
        return machine.stands() | {name: "a table" for (name,) in tables}


def differences(url: str, folder: Path, proofs: dict[str, Any]) -> Iterator[str]:
    from shop.keeping.standing_still import connected
    from shop.records.models import Note

    with connected(url, "restored") as alias:
        theirs = proofs_of(alias) if proofs else {}
        for table, ours in proofs.items():
            if table not in CHANGED and (odd := ours.differs_in(theirs[table])):
                yield f"{table}: {', '.join(odd)}"
        if Note.objects.using(alias).filter(kind="drill").count() % 2:
            yield "half an act was kept"
    if files_in(folder / "files") != files_in(Path(media())):
        yield "the files are not the same"


def media() -> str:
    from django.conf import settings

    return str(settings.MEDIA_ROOT)


def files_in(folder: Path) -> dict[str, str]:
    return {
        str(path.relative_to(folder)): sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file()
    }


def proofs_of(alias: str) -> dict[str, Any]:
    from shop.keeping.moving import models_moved
    from shop.keeping.proofs import proof_of

    return {one.table: one for one in (proof_of(m, alias) for m in models_moved())}


def spoilt(
    made: Path, key: str, way: str, chance: random.Random, folder: Path
) -> tuple[Path, str]:
    """A copy with something wrong, and the key that is typed for it."""
    whole, file = made.read_bytes(), folder / "spoilt.backup"
    if way in changed_copies.WAYS:
        file.write_bytes(changed_copies.corrupted(whole, way, chance))
    elif way == "half a file":
        file.write_bytes(whole[: len(whole) // 2])
    elif way == "empty":
        file.write_bytes(b"")
    elif way == "another key":
        return made, other_key()
    else:
        file = of_tomorrow(way, folder)
    return file, key


def other_key() -> str:
    from shop.keeping.recovery import SECRET_BYTES, Key

    return str(Key(random.randbytes(SECRET_BYTES), is_told=True))


def of_tomorrow(way: str, folder: Path) -> Path:
    """Whole and sealed with the right key, by a version that is not out yet."""
    from django.utils import timezone

    from shop.keeping import backups, contents, recovery

    newer = contents.migrations() | {"records": "9999_of_tomorrow"}
    spoken = (
        patch.object(contents, "migrations", lambda: newer)
        if way == "newer tables"
        else patch.object(contents, "FORMAT", contents.FORMAT + 1)
    )
    file = folder / "tomorrow.backup"
    file.unlink(missing_ok=True)
    with spoken, backups.aside() as aside:
        backups.write(file, aside, recovery.known()[-1].secret, timezone.now())
    return file


@contextmanager
def quiet() -> Iterator[None]:
    yield


@contextmanager
def writing() -> Iterator[None]:
    """Somebody writes two notes at a time, until the backup is made."""
    from django.db import connection, transaction

    from shop.records.models import Note

    over = threading.Event()

    def write() -> None:
        while not over.is_set():
            with transaction.atomic():
                for text in ("one", "two"):
                    Note.objects.create(shop_id=1, kind="drill", text=text)
        connection.close()

    thread = threading.Thread(target=write)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()


@contextmanager
def target(folder: Path) -> Iterator[tuple[EmptyMachine, str]]:
    """An empty machine with the same kind of database as ours."""
    from django.db import connection

    from shop.keeping import postgres
    from tests import elsewhere

    folder.mkdir()
    if connection.vendor == "sqlite":
        url = f"sqlite:///{folder}/coldrail.sqlite3"
        machine = EmptyMachine.start(folder, url)
        try:
            yield machine, url
        finally:
            machine.stop()
        return
    with elsewhere.own_database(postgres.url()) as url:
        machine = EmptyMachine.start(folder, url)
        try:
            yield machine, url
        finally:
            machine.stop()


def run(seed: int, rounds: int, restores: int = RESTORES) -> Result:
    """``rounds`` changed copies, spread over the restores."""
    from django.test import override_settings

    with tempfile.TemporaryDirectory(prefix="coldrail-drill-") as name:
        folder = Path(name)
        own = {
            "DATA_DIR": folder,
            "BACKUP_DIR": "",
            "BACKUP_KEY": "",
            "BACKUP_KEYS": folder / "backup_keys",
            "FIELD_KEYS_FILE": folder / "field_keys",
            "MEDIA_ROOT": str(folder / "files"),
        }
        with override_settings(**own):
            stage(folder, random.Random(seed))
            drill = Drill(folder, random.Random(seed), -(-rounds // restores))
            for number in range(restores):
                drill.round(number)
    counts = {
        "restores": drill.done["restored"],
        "changed copies refused": drill.done["refused"],
        "kinds of change": len(WAYS),
    }
    return Result("restore", counts, tuple(drill.lost))


def stage(folder: Path, chance: random.Random) -> None:
    from django.conf import settings
    from django.utils import timezone

    from shop.desk.management.commands.demo import SCENARIO
    from shop.desk.scenario import tell
    from shop.keeping import recovery

    (folder / "secret_key").write_text(settings.SECRET_KEY)
    (folder / "files" / "photos").mkdir(parents=True)
    tell(SCENARIO, now=timezone.now())
    for number in range(8):
        (folder / "files" / "photos" / f"{number}.jpg").write_bytes(
            chance.randbytes(99_000)
        )
    recovery.key_make(is_told=True)
