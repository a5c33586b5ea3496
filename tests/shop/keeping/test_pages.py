"""The owner's page of backups, the sheet, and that old backups are said in red."""

import os
import shutil
from collections.abc import Callable
from datetime import timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone
from pypdf import PdfReader

from shop.keeping import at_close, backups, copies, recovery, sheets
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from shop.records.models import JobRun
from tests import machine

ClientOf = Callable[[str], Client]
pytestmark = pytest.mark.django_db


def lies_in(folder: Path, hours: float) -> Path:
    """A file by the name of a backup of so many hours ago."""
    folder.mkdir(parents=True, exist_ok=True)
    made = timezone.now() - timedelta(hours=hours)
    file = folder / f"coldrail-{made:{backups.STAMP}}Z.backup"
    file.write_bytes(b"")
    return file


@pytest.mark.parametrize("page", ["/office/", "/opening/settings/"])
def test_an_old_backup_is_said_on_the_owners_pages(
    client_of: ClientOf, data: Path, page: str
) -> None:
    owner = client_of("marit")
    assert "No backup has been made yet." in owner.get(page).content.decode()
    lies_in(data / "backups", 27)
    assert "The last backup is 27 hours old." in owner.get(page).content.decode()
    lies_in(data / "backups", 25)
    assert "The last backup" not in owner.get(page).content.decode()


def test_the_page_tells_each_place(
    client_of: ClientOf, data: Path, settings: Any
) -> None:
    settings.BACKUP_DIR = str(data / "not there")
    lies_in(data / "backups", 1)
    text = client_of("marit").get("/keeping/").content.decode()
    assert "not there is not there. Is its disk connected?" in text
    assert "1 is kept." in text
    key = "one-more-backup-please"
    asked = client_of("marit").post("/keeping/now/", {"idempotency_key": key})
    assert asked.status_code == 302
    assert JobRun.objects.get(name="nightly backup").next_at <= timezone.now()


def test_the_key_is_printed_once_on_one_page(client_of: ClientOf, data: Path) -> None:
    key = recovery.key_make(is_told=False)
    owner = client_of("marit")
    printed = owner.post("/keeping/key/", {"print": "1"})
    assert printed["Cache-Control"] == "no-store"
    reader = PdfReader(BytesIO(printed.content))
    assert len(reader.pages) == 1
    text = reader.pages[0].extract_text()
    assert all(group in text for group in str(key).split("-"))
    assert "manage.py restore" in text
    again = owner.post("/keeping/key/", {"print": "1"})
    assert again.status_code == 422
    assert str(key) not in again.content.decode()
    bare = PdfReader(BytesIO(owner.get("/keeping/sheet.pdf").content))
    assert len(bare.pages) == 1
    assert str(key)[:4] not in bare.pages[0].extract_text()


def test_a_new_key_wants_a_tick(client_of: ClientOf, key: recovery.Key) -> None:
    owner = client_of("marit")
    assert owner.post("/keeping/key/new/").status_code == 422
    assert recovery.known() == [key]
    assert owner.post("/keeping/key/new/", {"sure": "on"}).status_code == 200
    *_older, newest = recovery.known()
    assert newest.is_told
    assert newest.secret != key.secret


def test_the_sheet_is_one_page_on_letter_too(
    hollin_lane: Shop, data: Path, monkeypatch: Any
) -> None:
    """In German, with PostgreSQL's lines, which is the longest."""
    from django.utils import translation

    hollin_lane.paper_size = "Letter"
    monkeypatch.setattr(sheets, "connection", type("", (), {"vendor": "postgresql"}))
    with translation.override("de"):
        made = sheets.sheet(
            hollin_lane, timezone.now(), key=recovery.Key(bytes(20), is_told=False)
        )
    (page,) = PdfReader(BytesIO(made)).pages
    assert "createdb" in page.extract_text()


# --- places: a copy of the database is another connection's -------------------------
of_the_whole = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def programs(monkeypatch: pytest.MonkeyPatch) -> None:
    folder = machine.server_folder()
    assert folder is not None
    monkeypatch.setenv("PATH", f"{folder}{os.pathsep}{os.environ['PATH']}")


@of_the_whole
def test_a_copy_lies_on_this_machine_and_in_a_further_place(
    marit: Person, key: recovery.Key, data: Path, settings: Any
) -> None:
    settings.BACKUP_DIR, settings.SECOND_BACKUP_DIR = str(data / "a"), str(data / "b")
    (data / "a").mkdir()
    (data / "b").mkdir()
    lies_in(data / "backups", 48)
    assert at_close.is_due() is False  # nothing was recorded yet
    made = backups.backup_make()
    for folder in ("backups", "b"):
        (copied,) = (data / folder).iterdir()
        assert copied.read_bytes() == made.file.read_bytes()
        assert copied.stat().st_mode & 0o777 == 0o600
    assert [one.newest for one in copies.places()] == [copies.newest()] * 3


@of_the_whole
def test_a_missing_place_is_said_and_this_machine_has_it(
    marit: Person, key: recovery.Key, data: Path, settings: Any
) -> None:
    settings.BACKUP_DIR = str(data / "gone")
    with pytest.raises(
        Refused, match=r"gone is not there.*was made in .*backups alone"
    ):
        backups.backup_make()
    assert len(backups.kept_in(data / "backups")) == 1
    settings.BACKUP_DIR, settings.SECOND_BACKUP_DIR = "", "/dev/null/nowhere"
    with pytest.raises(Refused, match="No copy in /dev/null/nowhere"):
        backups.backup_make()


@of_the_whole
def test_a_copy_that_came_out_wrong_is_not_kept(
    marit: Person, key: recovery.Key, data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = backups.backup_make().file
    other = data / "other"
    other.mkdir()
    monkeypatch.setattr(
        shutil, "copyfileobj", lambda _from, to, _size: to.write(b"half")
    )
    with pytest.raises(Refused, match="refused"):
        copies.copy(made, other)
    assert not list(other.iterdir())
