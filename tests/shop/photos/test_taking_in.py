"""Photos kept once, erased for good, swept when due, and no file without its row."""

import subprocess
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.files.storage import default_storage
from django.db import DatabaseError
from django.utils import timezone
from pytest_django import DjangoCaptureOnCommitCallbacks

from shop.intake import event_words
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.photos import aside, files, limits, services
from shop.photos.models import Photo
from shop.photos.services import photo_describe, photo_erase, photo_take_in
from shop.photos.sweeping import sweep
from shop.records.errors import Refused
from shop.records.models import Event
from tests.samples import photo_of
from tests.shop.photos.conftest import files_in, picture

KEY = "a-key-of-sixteen-or-more"


def taken(ticket: Ticket, by: Person, **more: Any) -> Photo:
    given = {"sent": picture(), "key": KEY, "side": "damage"} | more
    return photo_take_in(shop=ticket.shop, by=by, ticket=ticket, **given)


def test_the_same_photo_under_the_same_key_is_kept_once(
    ticket: Ticket, ines: Person, own_folder: Path
) -> None:
    first = taken(ticket, ines)
    assert taken(ticket, ines).pk == first.pk
    assert taken(ticket, ines, sent=picture((1, 2, 3))).pk != first.pk
    assert len(files_in(own_folder)) == 4
    assert (first.width, first.height) == (64, 48)
    assert first.name not in {"a", ""}
    assert len(first.name) == 32


def test_two_at_once_keep_one_and_leave_no_file(
    ticket: Ticket, ines: Person, own_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other is kept between our looking and our writing."""
    first = taken(ticket, ines)
    real = Photo.objects.filter
    monkeypatch.setattr(
        Photo.objects,
        "filter",
        lambda **by: real(pk=0) if "sent_id" in by else real(**by),
    )
    assert taken(ticket, ines).pk == first.pk
    assert len(files_in(own_folder)) == 2


def test_a_closed_ticket_takes_none_and_keeps_no_file(
    ticket: Ticket, ines: Person, own_folder: Path
) -> None:
    intake.handover_do(ticket=ticket, by=ines, given_to="Ada Pell")
    with pytest.raises(Refused, match="closed"):
        taken(ticket, ines)
    assert files_in(own_folder) == []


@pytest.mark.parametrize("nth", [1, 2])
def test_a_storage_that_fails_leaves_neither_file_nor_row(
    ticket: Ticket,
    ines: Person,
    own_folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    nth: int,
) -> None:
    real, calls = default_storage.save, []

    def failing(*args: Any) -> str:
        calls.append(args)
        if len(calls) == nth:
            raise OSError(28, "No space left on device")
        return str(real(*args))

    monkeypatch.setattr(default_storage, "save", failing)
    with pytest.raises(OSError, match="No space"):
        taken(ticket, ines)
    assert not Photo.objects.exists()
    assert files_in(own_folder) == []


def test_a_database_that_fails_leaves_no_file(
    ticket: Ticket, ines: Person, own_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def failing(*_args: Any, **_more: Any) -> None:
        raise DatabaseError("disk I/O error")

    monkeypatch.setattr(Photo, "save", failing)
    with pytest.raises(DatabaseError):
        taken(ticket, ines)
    assert files_in(own_folder) == []


def test_a_decoder_that_never_ends_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    def endless(*_args: Any, **_more: Any) -> None:
        raise subprocess.TimeoutExpired("script", 20)

    monkeypatch.setattr(subprocess, "run", endless)
    with pytest.raises(Refused, match="too long"):
        aside.remake(b"anything")


def test_one_byte_too_many_is_refused_unread() -> None:
    with pytest.raises(Refused, match="25 MB"):
        aside.remake(bytes(limits.MOST_BYTES + 1))


def test_erasing_deletes_the_files_after_the_commit(
    ticket: Ticket,
    ines: Person,
    own_folder: Path,
    django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks,
) -> None:
    photo = photo_of(ticket, ines)
    with django_capture_on_commit_callbacks() as after:
        photo_erase(photo=photo, by=ines)
        photo_erase(photo=photo, by=ines)
        assert len(files_in(own_folder)) == 2
    for act in after:
        act()
    assert files_in(own_folder) == []
    left = Photo.objects.get()
    assert (left.sha256, left.bytes) == ("", 0)
    assert left.files_gone_at is not None
    event = Event.objects.get(kind="photo_erased")
    assert event_words.happened(event) == "1 photo erased"


def test_words_and_side_are_put_right(ticket: Ticket, ines: Person) -> None:
    photo = photo_of(ticket, ines)
    photo_describe(photo=photo, by=ines, side="after", note=" all clean ")
    assert photo.note is not None
    assert (photo.side, photo.note.text) == ("after", "all clean")
    with pytest.raises(Refused):
        photo_describe(photo=photo, by=ines, side="sideways")
    photo_describe(photo=photo, by=ines, side="after")
    assert photo.note is None


def test_photos_go_when_they_were_kept_long_enough(
    ticket: Ticket,
    ines: Person,
    marit: Person,
    own_folder: Path,
    django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks,
) -> None:
    for _photo in range(3):
        photo_of(ticket, ines)
    handed = timezone.now()
    services.keeping_set(shop=ticket.shop, by=marit, days=30)
    with django_capture_on_commit_callbacks(execute=True):
        assert sweep(handed + timedelta(days=400)) == 0
        intake.handover_do(ticket=ticket, by=ines, given_to="Ada Pell", at=handed)
        assert sweep(handed + timedelta(days=30)) == 0
        assert sweep(handed + timedelta(days=30, seconds=1)) == 3
        assert sweep(handed + timedelta(days=40)) == 0
    assert files_in(own_folder) == []
    event = Event.objects.get(kind="photo_erased")
    assert (event.by, event_words.happened(event)) == (None, "3 photos erased")


def test_what_a_storage_could_not_delete_is_tried_again(
    ticket: Ticket,
    ines: Person,
    own_folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks,
) -> None:
    def failing(_photo: Photo) -> None:
        raise OSError(5, "Input/output error")

    photo = photo_of(ticket, ines)
    with monkeypatch.context() as broken:
        broken.setattr(files, "remove", failing)
        with django_capture_on_commit_callbacks(execute=True):
            photo_erase(photo=photo, by=ines)
    assert len(files_in(own_folder)) == 2
    sweep()
    assert files_in(own_folder) == []


def test_files_without_a_row_are_swept_a_day_later(
    ticket: Ticket, ines: Person, own_folder: Path
) -> None:
    """A process was killed between the files and the row."""
    kept = photo_of(ticket, ines)
    lost = photo_of(ticket, ines)
    Photo.objects.filter(pk=lost.pk).delete()
    sweep()
    assert len(files_in(own_folder)) == 4
    sweep(timezone.now() + timedelta(days=1, minutes=1))
    assert files_in(own_folder) == sorted(
        name.rpartition("/")[2] for name in (kept.full_file, kept.small_file)
    )
