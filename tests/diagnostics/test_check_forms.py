"""Every form of a check: what it sends, what is kept of it, and what the page shows."""

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from diagnostics import bridge, sayings
from diagnostics import services as bench
from diagnostics.bridge import Judged
from diagnostics.engine.errors import TypedValueError
from diagnostics.engine.family import Check
from diagnostics.engine.family_checks import PHOTO
from diagnostics.models import Board, Reading
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.photos.models import Photo
from shop.records.errors import Refused
from tests.diagnostics.conftest import Read
from tests.diagnostics.test_bench_page import HTMX, act_of, gone, keyed, page_of
from tests.shop.photos.conftest import picture

PORTS = ("ports", "keyboard", "sound", "camera", "network", "picture")


def at_supply(read: Read, kind: str, typed: str = "", **numbers: str) -> Reading:
    return read("k24/supply", typed, source="told", pattern={"kind": kind, **numbers})


# --- patterns ---


def test_hunting_keeps_its_lowest_and_highest_and_no_plain_value(
    read: Read, verdict_of: Callable[[Reading], Judged]
) -> None:
    reading = at_supply(read, "hunting", low="0.4", high="20 mA")
    assert (reading.outcome, reading.value) == ("category", None)
    assert reading.pattern == {"kind": "hunting", "low": 0.02, "high": 0.4}
    assert verdict_of(reading).verdict.word == "bad"
    assert plain(sayings.reading_value(reading)) == "hunting, 20 to 400 mA"


def test_at_limit_is_volts_fallen_and_never_plain_amperes(read: Read) -> None:
    reading = at_supply(read, "at_limit", "0.5", fallen_to="1.2")
    assert (reading.outcome, reading.value, reading.typed) == ("category", None, "")
    assert reading.pattern == {"kind": "at_limit", "limit": 0.5, "fallen_to": 1.2}
    assert (reading.supply_limit_amps, reading.supply_actual_volts) == (0.5, 1.2)
    assert plain(sayings.reading_value(reading)) == "at limit, fallen to 1.2 V"


def test_steps_keep_where_they_are_stuck_and_a_tap_alone_is_enough(read: Read) -> None:
    stuck = at_supply(read, "steps", "80m")
    assert stuck.pattern == {"kind": "steps", "stuck_at": 0.08}
    assert plain(sayings.reading_value(stuck)) == "steps, stuck at 80 mA"
    assert at_supply(read, "hunting").pattern == {"kind": "hunting"}


def test_a_steady_course_needs_its_value(read: Read) -> None:
    assert at_supply(read, "steady", "20m").value == 0.02
    assert at_supply(read, "starts_by_itself", "0.6").value == 0.6
    with pytest.raises(TypedValueError):
        at_supply(read, "steady")
    with pytest.raises(TypedValueError):
        at_supply(read, "at_limit", fallen_to="5 A")


def test_the_page_sends_the_numbers_of_the_course_that_was_chosen(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    page = page_of(job, board, check="k24", point="k24/supply", told=1)
    html = at_bench.get(page).content.decode()
    for name in ("low", "high", "fallen_to", "stuck_at"):
        assert f'name="{name}"' in html
    fields = keyed(
        point_id="k24/supply",
        course="at_limit",
        fallen_to="1.2",
        low="7",
        is_told="on",
        uuid=uuid4(),
    )
    at_bench.post(act_of(job, board, "reading_take"), fields)
    kept = Reading.objects.get()
    assert kept.pattern == {"kind": "at_limit", "fallen_to": 1.2}


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


# --- ticks ---


def ticks(**changed: str) -> dict[str, str]:
    return {f"k60/{one}": changed.get(one, "works") for one in PORTS}


def test_ticks_are_one_act_and_a_reading_each_with_its_own_uuid(
    board: Board, job: Ticket, ines: Person
) -> None:
    act = uuid4()
    fields: dict[str, Any] = {"board": board, "ticket": job, "by": ines}
    fields |= {"answers": ticks(sound="fails"), "uuid": act, "source": "told"}
    kept = bench.readings_tick(**fields)
    assert [one.category for one in kept].count("works") == 5
    assert len({one.uuid for one in kept}) == 6
    assert len({one.taken_at for one in kept}) == 1
    assert bench.readings_tick(**fields) == kept
    assert Reading.objects.count() == 6


def test_a_wrong_tick_keeps_none_of_them(
    board: Board, job: Ticket, ines: Person
) -> None:
    with pytest.raises(Refused):
        bench.readings_tick(
            board=board,
            ticket=job,
            by=ines,
            answers=ticks(picture="lovely"),
            source="told",
        )
    assert not Reading.objects.exists()


def test_all_ok_except_shows_what_is_not(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    html = at_bench.get(page_of(job, board, check="k60", told=1)).content.decode()
    assert html.count("data-as-good") == 6
    sent = re.findall(r'name="(tick:k60/\w+)" value="works" checked', html)
    assert len(sent) == 6
    fields = keyed(point_id="k60/ports", is_told="on", uuid=uuid4())
    fields |= dict.fromkeys(sent, "works") | {"tick:k60/camera": "fails"}
    shown = at_bench.post(act_of(job, board, "reading_take"), fields, headers=HTMX)
    html = shown.content.decode()
    assert Reading.objects.count() == 6
    assert "<strong>Bad</strong>" in html
    assert "camera: fails" in html
    assert "ports: works" in html


# --- photo ---


@pytest.fixture
def photo_check(monkeypatch: pytest.MonkeyPatch) -> Iterator[Check]:
    """The first look of the family, to be taken as a photo."""
    family = bridge._family("laptop_barrel")
    check = replace(family.checks["k01"], form="photo", categories=PHOTO, blames={})
    changed = replace(family, checks={**family.checks, "k01": check}, hash="photo")
    monkeypatch.setattr(bridge, "_family", lambda name: changed)
    bridge._board.cache_clear()
    yield check
    bridge._board.cache_clear()


def test_a_photo_is_kept_with_the_board_and_passes_the_check(
    photo_check: Check,
    photos_folder: object,
    at_bench: Client,
    job: Ticket,
    board: Board,
) -> None:
    html = at_bench.get(page_of(job, board, check="k01")).content.decode()
    assert 'type="file"' in html
    assert "multipart/form-data" in html
    take = act_of(job, board, "reading_take")
    fields = keyed(point_id="k01/top", side="microscope", uuid=uuid4())
    without = at_bench.post(take, fields, headers=HTMX)
    assert without.status_code == 422
    assert not Reading.objects.exists()
    sent = SimpleUploadedFile("a.jpg", picture(), "image/jpeg")
    at_bench.post(take, {**fields, "photos": sent}, headers=HTMX)
    reading, photo = Reading.objects.get(), Photo.objects.get()
    assert reading.category == "photo_kept"
    assert (photo.board_id, photo.ticket) == (board.pk, job)


# --- what comes next ---


def test_the_next_point_of_a_check_is_in_hand_after_a_good_one(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    fields = keyed(point_id="k03/main", typed="0.01", uuid=uuid4(), offered="k05/x")
    html = at_bench.post(
        act_of(job, board, "reading_take"), fields, headers=HTMX
    ).content.decode()
    assert 'name="point_id" value="k03/mem.q"' in html
    assert "Next in the walk" in html
    assert "Take reading" in html
    keys = set(re.findall(r'name="idempotency_key" value="([^"]+)"', html))
    assert fields["idempotency_key"] not in keys


def test_a_reading_that_is_looked_up_has_no_pad_of_another_point(
    at_bench: Client, job: Ticket, board: Board, read: Read
) -> None:
    gone(read)
    looked_up = read("k06/main", "62k")
    html = at_bench.get(page_of(job, board, reading=looked_up.pk)).content.decode()
    assert "Take this check" in html
    assert 'name="typed"' not in html
    fresh = at_bench.get(page_of(job, board, reading=looked_up.pk, taken="freely"))
    assert 'name="typed"' in fresh.content.decode()
