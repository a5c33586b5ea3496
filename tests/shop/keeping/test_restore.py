"""A backup put back: wholly, onto either database, or refused with nothing touched."""

import fcntl
import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import psycopg
import pytest
from django.contrib.sessions.models import Session
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import connection
from django.utils import timezone

from shop.intake.models import Customer, Ticket
from shop.keeping import (
    backups,
    contents,
    ground,
    key_files,
    placing,
    recovery,
    restoring,
    upgrading,
)
from shop.keeping.management.commands.restore import newest_in
from shop.keeping.sealed import Damaged
from shop.keeping.standing_still import connected
from shop.people.models import Shop
from shop.records import restored
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event, OutgoingMessage
from shop.records.restored import Restored
from shop.rights import again
from shop.rights.erasing import customer_erase
from tests import machine
from tests.drills import restore as drill
from tests.drills.empty_machine import environment
from tests.drills.place import ROOT
from tests.factories import CustomerFactory, PersonFactory, ShopFactory, TicketFactory
from tests.shop.keeping.servers import Postgres

pytestmark = pytest.mark.django_db(transaction=True)
Done = subprocess.CompletedProcess[str]


@pytest.fixture(autouse=True)
def programs(monkeypatch: pytest.MonkeyPatch) -> None:
    folder = machine.server_folder()
    assert folder is not None
    monkeypatch.setenv("PATH", f"{folder}{os.pathsep}{os.environ['PATH']}")


@pytest.fixture
def made(data: Path, key: recovery.Key, settings: Any) -> Path:
    """A backup of a shop with a ticket, a photo and a letter that waits."""
    (data / "secret_key").write_text(settings.SECRET_KEY)
    shop = ShopFactory.create(name="Hollin Lane")
    person = PersonFactory.create(shop=shop, roles=["owner"])
    ticket = TicketFactory.create(by=person)
    default_storage.save("photos/a/one.jpg", ContentFile(b"light" * 99))
    OutgoingMessage.objects.create(shop_id=shop.pk, message_id="1", ticket_id=ticket.pk)
    Session.objects.create(
        session_key="k" * 32, session_data="x", expire_date=timezone.now()
    )
    return backups.backup_make().file


@pytest.fixture
def here(tmp_path: Path) -> Path:
    """The data folder of another machine."""
    return tmp_path / "other"


def restore(
    here: Path, key: recovery.Key, *words: str, url: str = "", dump: Path | None = None
) -> Done:
    way = ["tests.shop.keeping.onto_made", str(dump)] if dump else ["django"]
    return subprocess.run(
        [sys.executable, "-m", *way, "restore", *words],
        env=environment(here, url),
        cwd=ROOT,
        input=f"{key}\n",
        capture_output=True,
        text=True,
        check=False,
    )


def stood(folder: Path) -> set[str]:
    found = {str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file()}
    return found - {"restore.lock", "backup.lock", "secret_key"}


@pytest.fixture
def other(postgres: Postgres) -> Iterator[str]:
    """An empty PostgreSQL."""
    from tests import elsewhere

    with elsewhere.own_database(postgres.server) as url:
        yield url


def assert_is_the_shop(url: str, here: Path) -> None:
    with connected(url, "restored") as alias:
        assert Shop.objects.using(alias).get().name == "Hollin Lane"
        assert Ticket.objects.using(alias).count() == 1
        assert not Session.objects.using(alias).exists()
        held = OutgoingMessage.objects.using(alias).get(message_id="1")
        assert (held.given_up_at is not None, held.last_error) == (True, "restored")
        event = Event.objects.using(alias).get(kind=Kind.SHOP_RESTORED)
        assert event.amounts["sessions"] == 1
        assert event.codes["has_keys"]
    assert (here / "files/photos/a/one.jpg").read_bytes() == b"light" * 99
    assert stood(here) >= {"field_keys", "backup_keys", "files/photos/a/one.jpg"}


def test_onto_an_empty_machine(
    made: Path, key: recovery.Key, here: Path, data: Path, other: str
) -> None:
    """Onto its own kind of database, by the command and the typed key."""
    url = f"sqlite:///{here}/coldrail.sqlite3"
    url = url if connection.vendor == "sqlite" else other
    done = restore(here, key, str(made.parent), url=url)
    assert done.returncode == 0, done.stderr
    assert "last number" in done.stdout
    assert_is_the_shop(url, here)
    assert (here / "secret_key").read_text() == (data / "secret_key").read_text()
    assert (here / "backup_keys").read_text() == f"{key} told\n"
    assert not list(here.glob("restore-aside-*"))


def test_from_sqlite_onto_postgresql(
    made: Path, key: recovery.Key, here: Path, other: str, postgres: Postgres
) -> None:
    if connection.vendor != "sqlite":
        done = restore(here, key, str(made))
        assert "The backup is of PostgreSQL: name an empty one" in done.stderr
        assert stood(here) == set()
        return
    dump = postgres.dump(made.parent / "tables")
    done = restore(here, key, str(made), url=other, dump=dump)
    assert done.returncode == 0, done.stderr
    assert_is_the_shop(other, here)
    with psycopg.connect(other) as line, pytest.raises(psycopg.Error, match="never"):
        line.execute("UPDATE records_event SET kind = 'other'")
    again_done = restore(here, key, str(made), url=other)
    assert "nothing of PostgreSQL is overwritten" in again_done.stderr


def test_a_shop_gives_way_only_by_its_name(
    made: Path, key: recovery.Key, here: Path
) -> None:
    if connection.vendor != "sqlite":
        return
    assert restore(here, key, str(made)).returncode == 0
    (here / "coldrail.sqlite3").chmod(0o600)
    before = (here / "coldrail.sqlite3").read_bytes()
    for words in ((), ("--replace", "Another")):
        refused = restore(here, key, str(made), *words)
        assert "A shop stands here already: Hollin Lane" in refused.stderr
        assert (here / "coldrail.sqlite3").read_bytes() == before
    done = restore(here, key, str(made), "--replace", "Hollin Lane", "--new-keys")
    assert done.returncode == 0, done.stderr
    (aside,) = here.glob("replaced-*")
    assert (aside / "coldrail.sqlite3").read_bytes() == before
    assert (aside / "files/photos/a/one.jpg").exists()
    with sqlite3.connect(here / "coldrail.sqlite3") as line:
        codes = line.execute("SELECT codes FROM records_event ORDER BY id DESC LIMIT 1")
        assert '"has_keys": false' in codes.fetchone()[0]
    line.close()


def test_one_restore_of_a_drill(settings: Any) -> None:
    """``manage.py drill restore`` does it twenty times, with 200 spoilt ones."""
    result = drill.run(seed=5, rounds=len(drill.WAYS), restores=1)
    assert result.lost == ()
    assert result.counts["restores"] == 1
    assert result.counts["changed copies refused"] == len(drill.WAYS) == 13


# --- refused, in the process that asks --------------------------------------------


@pytest.fixture
def empty(made: Path, here: Path, settings: Any, monkeypatch: Any) -> Path:
    """This process, as if it stood on the other machine, which has no shop."""
    here.mkdir()
    settings.DATA_DIR, settings.MEDIA_ROOT = here, str(here / "files")
    settings.BACKUP_KEYS = here / "backup_keys"
    settings.FIELD_KEYS_FILE, settings.TLS_DIR = here / "field_keys", here / "tls"
    monkeypatch.setattr(restoring, "refuse_occupied", lambda _wish: None)
    return here


def test_a_full_disk_and_a_dead_child_leave_nothing(
    made: Path, key: recovery.Key, empty: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The n-th file that is opened can't be, until all are; then the finishing."""
    wish, opened = restoring.Wish(made, key.secret), contents._target
    finished = list[str]()

    def ends(*_args: object) -> Any:
        finished.append("")
        full("")

    monkeypatch.setattr(restoring, "_made_ready", ends)
    for number in range(1, 20):
        left = [number]

        def fails(name: str, into: Path | None, left: list[int] = left) -> Any:
            left[0] -= 1
            return full(name) if left[0] == 0 else opened(name, into)

        monkeypatch.setattr(contents, "_target", fails)
        with pytest.raises(Refused, match=r"Nothing was restored: No space left"):
            restoring.restore(wish)
        assert stood(empty) == set()
        if finished:
            break
    assert number > 3


def full(_name: str) -> Any:
    raise OSError(28, os.strerror(28))


def test_one_that_died_among_its_moves_is_done_again(
    made: Path, key: recovery.Key, empty: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.undo()
    (empty / placing.BEGUN).touch()
    occupied = ground.Ground("sqlite", "Hollin Lane", has_tables=True, has_files=True)
    monkeypatch.setattr(ground, "look", lambda: occupied)
    restoring.refuse_occupied(restoring.Wish(made))
    (empty / placing.BEGUN).unlink()
    with pytest.raises(Refused, match="A shop stands here already: Hollin Lane"):
        restoring.refuse_occupied(restoring.Wish(made))


def test_little_room_is_said_before(
    made: Path, key: recovery.Key, empty: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    usage = shutil.disk_usage(empty)
    monkeypatch.setattr(shutil, "disk_usage", lambda _at: usage._replace(free=10))
    with pytest.raises(Refused, match="GB are needed"):
        restoring.restore(restoring.Wish(made, key.secret))


def test_two_at_once_are_refused(made: Path, key: recovery.Key, empty: Path) -> None:
    with (empty / "restore.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        with pytest.raises(Refused, match="under way already"):
            restoring.restore(restoring.Wish(made, key.secret))


def test_keys_that_open_nothing_here_are_said(
    made: Path, key: recovery.Key, empty: Path, settings: Any
) -> None:
    """The environment of this machine goes before what is in the backup."""
    settings.FIELD_KEYS = ["another"]
    with pytest.raises(Refused, match="COLDRAIL_FIELD_KEYS of this machine is not"):
        restoring.look(restoring.Wish(made, key.secret))
    settings.FIELD_KEYS, settings.SECRET_KEY = [], "of this one's environment"
    with pytest.raises(Refused, match="SECRET_KEY of this machine is not"):
        restoring.look(restoring.Wish(made, key.secret))
    assert restoring.look(restoring.Wish(made, key.secret, new_keys=True)).told == {}
    assert stood(empty) == set()


def test_what_the_environment_gives_stays_out(
    data: Path, key: recovery.Key, settings: Any
) -> None:
    settings.FIELD_KEYS = ["of the environment"]
    (data / "secret_key").write_text("another one")
    assert list(key_files.in_force()) == ["backup_keys"]
    (data / "secret_key").write_text(settings.SECRET_KEY)
    assert list(key_files.in_force()) == ["secret_key", "backup_keys"]


def test_a_name_that_leads_out_of_the_folder_is_no_backup(tmp_path: Path) -> None:
    for name in ("../out", "/etc/out", "files/../../out"):
        with pytest.raises(Damaged):
            contents._target(name, tmp_path)


def test_which_backup_is_meant(made: Path, data: Path, tmp_path: Path) -> None:
    older = made.with_name("coldrail-2020-01-01T000000Z.backup")
    older.write_bytes(b"older")
    assert newest_in(made.parent) == made
    assert newest_in(older) == older
    with pytest.raises(Refused, match="Is its disk connected"):
        newest_in(tmp_path / "nowhere")
    with pytest.raises(Refused, match="No backup lies in"):
        newest_in(data / "files")
    with pytest.raises(CommandError, match="Which backup"):
        call_command("restore")


# --- afterwards ---------------------------------------------------------------------


def test_who_was_erased_since_is_erased_again(made: Path, settings: Any) -> None:
    """By the list beside the backup, among the acts after a restore."""
    customer = Customer.objects.get()
    about = Restored(made.parent, datetime.now(UTC), has_keys=True)
    line = f"{customer.pk} {customer.since.isoformat()}\n"
    (made.parent / again.NAME).write_text(line)
    assert restored.ACTS["erased again"](about) == 0  # its ticket is open: said
    assert {"erased again", "photo links"} <= set(restored.ACTS)


def test_who_was_erased_after_the_backup_stays_erased(
    made: Path, key: recovery.Key, here: Path, other: str
) -> None:
    """By the command; and the list goes on beside the backups of the new machine."""
    customer = Customer.objects.get()
    gone = CustomerFactory.create(shop=customer.shop, name="Ada Pell")
    whole = backups.backup_make().file
    customer_erase(customer=gone, by=None)
    again.note_erased()
    url = f"sqlite:///{here}/coldrail.sqlite3"
    url = url if connection.vendor == "sqlite" else other
    done = restore(here, key, str(whole), url=url)
    assert done.returncode == 0, done.stderr
    assert "1 customers erased again" in done.stdout
    with connected(url, "restored") as alias:
        rows = Customer.objects.using(alias)
        assert rows.get(pk=gone.pk).erased_at
        assert rows.get(pk=gone.pk).name != "Ada Pell"
        assert rows.get(pk=customer.pk).name == customer.name
        event = Event.objects.using(alias).get(kind=Kind.CUSTOMER_ERASED)
        assert event.codes == {"because": "erased_before"}
    list_here = (here / "backups" / again.NAME).read_text()
    assert list_here == f"{gone.pk} {gone.since.isoformat()}\n"


# --- a new version ------------------------------------------------------------------


def test_tables_are_changed_only_after_a_backup(
    made: Path, settings: Any, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    settings.BACKS_UP_BEFORE_CHANGES = True
    call_command("migrate", verbosity=0)
    assert capsys.readouterr().out == ""
    monkeypatch.setattr(upgrading, "changes", lambda: 2)
    call_command("migrate", verbosity=0)
    said = capsys.readouterr().out
    assert "a backup first" in said
    assert ".backup: whole." in said
    settings.BACKUP_DIR = "/nowhere/at/all"
    with pytest.raises(CommandError, match="The tables were not changed"):
        call_command("migrate", verbosity=0)
    call_command("migrate", verbosity=0, without_backup=True)
