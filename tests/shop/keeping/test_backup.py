"""Backups: whole or refused, sealed, read back, kept for a while."""

import errno
import io
import json
import os
import random
import shutil
import sqlite3
import tarfile
import time
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import IO, Any

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import connection, transaction

from shop.intake.models import Customer, Ticket
from shop.keeping import backups, contents, place, recovery, snapshots
from shop.keeping.sealed import Opener
from shop.records import jobs
from shop.records.errors import Refused
from tests import machine
from tests.drills.backups import WAYS, corrupted
from tests.factories import PersonFactory, ShopFactory, TicketFactory

# A dump is another connection's: it sees only what is committed.
pytestmark = pytest.mark.django_db(transaction=True)
CANARY = "Ada Pell of the canaries"


@pytest.fixture(autouse=True)
def programs(monkeypatch: pytest.MonkeyPatch) -> None:
    """PostgreSQL's programs of the server that the tests run against."""
    folder = machine.server_folder()
    assert folder is not None
    monkeypatch.setenv("PATH", f"{folder}{os.pathsep}{os.environ['PATH']}")


@pytest.fixture
def stock(data: Path) -> Ticket:
    """A ticket, and two files beside it."""
    person = PersonFactory.create(shop=ShopFactory.create(), roles=["owner"])
    ticket = TicketFactory.create(by=person)
    Customer.objects.update(name=CANARY)
    default_storage.save("photos/a/one.jpg", ContentFile(b"light" * 99))
    default_storage.save("photos/two.jpg", ContentFile(bytes(3_000_000)))
    return ticket


def opened(file: Path, key: recovery.Key) -> dict[str, bytes]:
    """Every member, by the parts of the backup that a restore stands on."""
    with file.open("rb") as source:
        plain = Opener(source, key.secret).read()
    with tarfile.open(fileobj=io.BytesIO(plain)) as tar:
        return {
            info.name: member.read()
            for info in tar
            if (member := tar.extractfile(info)) is not None
        }


def test_a_backup_holds_the_database_and_every_file(
    stock: Ticket, key: recovery.Key, tmp_path: Path
) -> None:
    made = backups.backup_make()
    members = opened(made.file, key)
    database = f"database.{'sqlite3' if connection.vendor == 'sqlite' else 'pgdump'}"
    assert list(members) == [
        database,
        "files/photos/two.jpg",
        "files/photos/a/one.jpg",
        "keys/field_keys",
        "keys/backup_keys",
        "manifest.json",
    ]
    assert members["files/photos/a/one.jpg"] == b"light" * 99
    told = json.loads(members["manifest.json"])
    assert told["counts"]["intake_ticket"] == 1
    assert told["vendor"] == connection.vendor
    assert told["migrations"]["records"] >= "0004"
    copy = tmp_path / "copy"
    copy.write_bytes(members[database])
    assert_holds_the_ticket(copy)


def assert_holds_the_ticket(copy: Path) -> None:
    """Read by the database's own programs, not by ours."""
    if connection.vendor == "sqlite":
        with sqlite3.connect(copy) as line:
            names = line.execute("SELECT name FROM intake_customer").fetchall()
        line.close()
        assert names == [(CANARY,)]
        return
    import subprocess

    restore = shutil.which("pg_restore")
    assert restore is not None
    told = subprocess.run(
        [restore, "--data-only", "--table=intake_customer", "--file=-", str(copy)],
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    assert CANARY in told


def test_nothing_of_it_lies_open(stock: Ticket, key: recovery.Key, data: Path) -> None:
    made = backups.backup_make()
    assert CANARY.encode() not in made.file.read_bytes()
    assert made.file.stat().st_mode & 0o777 == 0o600
    left = {path.name for path in data.iterdir()}
    ours = {"backup_keys", "field_keys", "backup.lock", "backups", "files"}
    assert left == ours


@pytest.mark.parametrize("way", WAYS)
def test_a_changed_backup_is_refused(
    stock: Ticket, key: recovery.Key, way: str
) -> None:
    """``manage.py drill backups`` does the same two hundred times."""
    made = backups.backup_make()
    whole, chance = made.file.read_bytes(), random.Random(way)
    for _again in range(3):
        made.file.write_bytes(corrupted(whole, way, chance))
        with pytest.raises(Refused, match="refused"):
            backups.backup_check(made.file)
    made.file.write_bytes(whole)
    assert backups.backup_check(made.file) == made.manifest


@pytest.mark.parametrize(
    "other", [b"", b"COLDRAIL", b"PK\x03\x04" + bytes(999), b"COLDRAIL BACKUP 2\n" * 9]
)
def test_a_foreign_file_is_refused_plainly(
    data: Path, key: recovery.Key, other: bytes
) -> None:
    file = data / "holiday.zip"
    file.write_bytes(other)
    with pytest.raises(Refused, match=r"holiday.zip is refused: no backup of Coldrail"):
        backups.backup_check(file)


def test_an_older_key_still_opens_and_a_lost_one_is_said(
    stock: Ticket, key: recovery.Key
) -> None:
    made = backups.backup_make()
    recovery.key_make(is_told=True)
    assert backups.backup_check(made.file) == made.manifest
    recovery.file().unlink()
    recovery.key_make(is_told=True)
    with pytest.raises(Refused, match="made with another recovery key"):
        backups.backup_check(made.file)
    assert backups.backup_check(made.file, key.secret) == made.manifest


class Failing:
    """A file whose ``n``-th write or sync fails, as on a full or broken disk."""

    def __init__(self, file: IO[Any], left: list[int], code: int) -> None:
        self.file, self.left, self.code = file, left, code

    def _once(self) -> None:
        self.left[0] -= 1
        if self.left[0] == 0:
            raise OSError(self.code, os.strerror(self.code))

    def write(self, data: bytes) -> int:
        self._once()
        return self.file.write(data)

    def flush(self) -> None:
        self._once()
        self.file.flush()

    def fileno(self) -> int:
        self._once()
        return self.file.fileno()

    def __enter__(self) -> "Failing":
        return self

    def __exit__(self, *_error: object) -> None:
        self.file.close()


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EIO])
def test_a_full_disk_leaves_no_half_file(
    stock: Ticket,
    key: recovery.Key,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    code: int,
) -> None:
    """Each write and sync of it fails in turn, until one run gets through."""
    opener, failed = os.fdopen, 0
    database = tmp_path / "one for all.sqlite3"
    database.write_bytes(bytes(999))
    taken = snapshots.Snapshot(database, {"intake_ticket": 1})
    monkeypatch.setattr(backups, "snapshot", lambda _folder: taken)

    for number in range(1, 99):
        left = [number]

        def fdopen(handle: int, mode: str, left: list[int] = left, **more: Any) -> Any:
            file = opener(handle, mode, **more)
            return Failing(file, left, code) if mode == "wb" else file

        monkeypatch.setattr(os, "fdopen", fdopen)
        try:
            made = backups.backup_make()
        except Refused as refusal:
            failed += os.strerror(code) in str(refusal)
        else:
            break
        assert list(place.backup_place().iterdir()) == []
    assert failed == number - 1 > 10
    assert backups.backup_check(made.file) == made.manifest


def test_a_full_disk_under_the_snapshot_is_refused_too(
    stock: Ticket, key: recovery.Key, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_folder: Path) -> snapshots.Snapshot:
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr(backups, "snapshot", full)
    with pytest.raises(Refused, match="No backup was made"):
        backups.backup_make()
    assert list(place.backup_place().iterdir()) == []


def test_what_a_killed_run_left_is_swept(
    stock: Ticket, key: recovery.Key, data: Path
) -> None:
    half = place.backup_place() / f"coldrail-2026-01-01T000000Z.backup{backups.PART}"
    half.write_bytes(b"half")
    (data / f"{backups.ASIDE}killed").mkdir()
    made = backups.backup_make()
    assert list(place.backup_place().iterdir()) == [made.file]
    assert not list(data.glob(f"{backups.ASIDE}*"))


def test_old_ones_go_and_what_is_not_ours_stays(
    stock: Ticket, key: recovery.Key
) -> None:
    folder, now = place.backup_place(), datetime.now(UTC)
    (folder / "letters.txt").write_text("mine")
    for days in range(1, 60):
        stamp = (now - timedelta(days=days)).strftime(backups.STAMP)
        (folder / f"coldrail-{stamp}Z.backup").write_bytes(b"old")
    made = backups.backup_make()
    left = backups.kept_in(folder)
    assert 10 <= len(left) <= 12
    assert made.file in left.values()
    assert (folder / "letters.txt").exists()


def test_a_file_removed_meanwhile_is_noted(
    stock: Ticket, key: recovery.Key, monkeypatch: pytest.MonkeyPatch
) -> None:
    listed = [*contents.files_of(default_storage), "photos/erased.jpg"]
    monkeypatch.setattr(contents, "files_of", lambda _storage: iter(listed))
    assert backups.backup_make().manifest.gone == ["photos/erased.jpg"]


def test_two_at_once_are_not_made(stock: Ticket, key: recovery.Key) -> None:
    with backups.alone(), pytest.raises(Refused, match="Another backup"):
        backups.backup_make()


def test_none_is_made_from_inside_an_act(stock: Ticket, key: recovery.Key) -> None:
    """SQLite waited for the act's end, which waited for the backup."""
    with transaction.atomic():
        Customer.objects.update(name="not kept yet")
        with pytest.raises(Refused, match="never inside of one"):
            backups.backup_make()
    assert backups.backup_make().manifest.counts["intake_customer"] == 1


def test_a_database_that_another_holds_alone_is_not_waited_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Such as a tool that opened it for itself, in the old way of locking."""
    monkeypatch.setattr(snapshots, "PATIENCE_SECONDS", 0.3)
    file = tmp_path / "held.sqlite3"
    with closing(sqlite3.connect(file)) as line, closing(sqlite3.connect(file)) as held:
        line.execute("CREATE TABLE one (id)")
        held.execute("BEGIN EXCLUSIVE")
        with closing(sqlite3.connect(tmp_path / "copy")) as copy:
            start = time.monotonic()
            with pytest.raises(Refused, match="holds the database"):
                snapshots.copied(line, copy)
            assert time.monotonic() - start < 10
            held.rollback()
            snapshots.copied(line, copy)
            assert copy.execute("SELECT count(*) FROM one").fetchone() == (0,)


def test_a_chosen_folder_is_never_made(data: Path, settings: Any) -> None:
    settings.BACKUP_DIR = str(data / "not mounted")
    with pytest.raises(Refused, match="Is its disk connected"):
        place.backup_place()
    assert not (data / "not mounted").exists()


def test_the_shops_own_place_counts_unless_the_machine_says(
    data: Path, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(place, "_asked", [])
    place.place_told_by(lambda: None)
    assert place.backup_place() == data / "backups"
    place.place_told_by(lambda: data)
    assert place.backup_place() == data
    settings.BACKUP_DIR = str(data / "backups")
    assert place.backup_place() == data / "backups"


def test_the_nightly_run_makes_a_key_that_is_told_to_whoever_comes_first(
    stock: Ticket, capsys: pytest.CaptureFixture[str]
) -> None:
    if connection.vendor != "sqlite":
        with pytest.raises(jobs.Said, match="no recovery key"):
            backups.nightly()
        return
    backups.nightly()
    (key,) = recovery.known()
    time.sleep(1.1)  # the next one has another second in its name
    for is_first in (True, False):
        call_command("backup")
        assert (str(key) in capsys.readouterr().out) == is_first


def test_the_nightly_run_says_why_it_failed_in_its_row(
    key: recovery.Key, data: Path, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.BACKUP_DIR = str(data / "not mounted")
    monkeypatch.setattr(jobs, "REGISTERED", {})
    jobs.every("nightly backup", 60, backups.nightly)
    jobs.run_due()
    (run,) = jobs.runs()
    assert run.last_error.startswith(f"The backup folder {data}/not mounted is not")


def test_the_command_checks_a_file(
    stock: Ticket, key: recovery.Key, capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("backup")
    (file,) = place.backup_place().iterdir()
    assert str(key) not in capsys.readouterr().out
    call_command("backup", "--check", str(file))
    assert f"{file}: whole. {connection.vendor}" in capsys.readouterr().out
    file.write_bytes(file.read_bytes()[:-1])
    with pytest.raises(CommandError, match="damaged or not whole"):
        call_command("backup", "--check", str(file))
    with pytest.raises(CommandError, match="is not there"):
        call_command("backup", "--check", str(file) + "x")


def test_a_new_key_seals_from_now_on(
    stock: Ticket, key: recovery.Key, capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("backup", "--new-key")
    *_old, new = recovery.known()
    assert str(new) in capsys.readouterr().out
    (file,) = place.backup_place().iterdir()
    assert backups.backup_check(file, new.secret).counts["intake_ticket"] == 1
