"""Acts that a tablet kept: done once, as who did them, when they were done."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any, cast
from uuid import UUID, uuid4

import pytest
import time_machine
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics import services as bench
from diagnostics.models import Board, Reading
from diagnostics.tablet_clock import moment_of
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people import presence, stations
from shop.people.models import LateSwitch, Person, Shop, Station
from shop.records.kinds import Kind
from shop.records.models import Event

pytestmark = pytest.mark.django_db
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
Send = Callable[..., HttpResponse]


@pytest.fixture
def send(job: Ticket, board: Board, ines: Person, hollin_lane: Shop) -> Send:
    """Send a form as the outbox does: kept ``ago``, by a clock that is ``ahead``."""

    def sent(
        client: Client,
        form: dict[str, str],
        *,
        act: str = "reading_take",
        key: str = "",
        ago: timedelta = HOUR,
        ahead: timedelta = timedelta(0),
        by: Person = ines,
        **headers: Any,
    ) -> HttpResponse:
        now = timezone.now()
        word = presence.word_for(
            person=by, shop=hollin_lane, station=None, now=now - ago - HOUR
        )
        told = {
            "Idempotency-Key": key or str(uuid4()),
            "Taken-At": milliseconds(now - ago + ahead),
            "Tablet-Clock": milliseconds(now + ahead),
            "Tablet-Sequence": "7",
            "Taken-By": str(by.pk),
            "Taken-Word": word,
            "Taken-Form": "1",
        }
        url = reverse(f"diagnostics:{act}", args=[job.number, board.pk])
        answer: Any = client.post(url, form, headers=told | headers)
        return cast(HttpResponse, answer)

    return sent


def milliseconds(at: datetime) -> str:
    return str(round(at.timestamp() * 1000))


def leads(typed: str = "0.21") -> dict[str, str]:
    return {"point_id": "k04/leads", "check": "k04", "typed": typed}


def closed(ticket: Ticket, by: Person) -> None:
    intake.outcome_record(ticket=ticket, by=by, kind="declined")
    intake.handover_do(ticket=ticket, by=by, given_to="Ada Pell")


def marks() -> list[str]:
    kinds = [Kind.CAME_LATE, Kind.NOT_CONFIRMED]
    found = Event.objects.filter(kind__in=kinds).order_by("id")
    return list(found.values_list("kind", flat=True))


def test_a_reading_keeps_when_it_was_taken_and_its_way_here(
    send: Send, at_bench: Client
) -> None:
    answer = send(at_bench, leads())
    reading = Reading.objects.get()
    assert answer["Tablet-Kept"] == "yes"
    assert abs(timezone.now() - HOUR - reading.taken_at) < timedelta(seconds=5)
    assert timezone.now() - reading.received_at < timedelta(seconds=5)
    assert reading.tablet_sequence == 7
    assert abs(reading.tablet_offset_seconds or 0) < 5
    assert (reading.is_late, reading.is_confirmed, marks()) == (False, True, [])


def test_a_redirect_is_told_in_headers_that_a_script_can_read(
    send: Send, at_bench: Client, job: Ticket
) -> None:
    form = {"point_id": "graphics"}
    answer = send(at_bench, form, act="not_fitted")
    assert (answer.status_code, answer["Tablet-Kept"]) == (204, "yes")
    assert answer["Tablet-Went-To"].startswith(f"/bench/{job.number}/")
    told = Event.objects.get(kind=Kind.POINT_NOT_FITTED)
    assert timedelta(minutes=59) < timezone.now() - told.at < timedelta(minutes=61)


def test_the_door_is_no_yes(send: Send, stranger: Client) -> None:
    answer = send(stranger, leads())
    assert "Tablet-Kept" not in answer
    assert not Reading.objects.exists()


def test_what_is_refused_says_so(send: Send, at_bench: Client) -> None:
    answer = send(at_bench, leads("5 V"))
    assert (answer.status_code, answer["Tablet-Refused"]) == (422, "yes")
    assert not Reading.objects.exists()


def test_it_is_whose_it_was_whoever_sends_it_and_however_often(
    send: Send, client_of: Callable[[str], Client], sami: Person
) -> None:
    """The person was switched between the act and a late replay of it."""
    key, names = str(uuid4()), ("ines", "sami", "ines")
    answers = [send(client_of(name), leads(), key=key) for name in names]
    assert {answer.status_code for answer in answers} == {204}
    assert Reading.objects.get().by.username == "ines"
    send(client_of("ines"), leads("0.25"), by=sami)
    assert Reading.objects.latest("id").by == sami


def test_the_same_key_with_another_value_is_refused(
    send: Send, at_bench: Client
) -> None:
    key = str(uuid4())
    send(at_bench, leads(), key=key)
    assert send(at_bench, leads("0.22"), key=key)["Tablet-Refused"] == "yes"
    assert Reading.objects.get().typed == "0.21"


def test_its_own_number_keeps_it_single_after_the_key_is_forgotten(
    send: Send, at_bench: Client
) -> None:
    form = leads() | {"uuid": str(uuid4())}
    send(at_bench, form)
    assert send(at_bench, form)["Tablet-Kept"] == "yes"
    assert Reading.objects.get().uuid == UUID(form["uuid"])


# --- clocks ---


@pytest.mark.parametrize("ahead", [DAY, -DAY, 400 * DAY])
def test_a_clock_that_is_off_is_corrected_and_both_are_kept(
    send: Send, at_bench: Client, ahead: timedelta
) -> None:
    send(at_bench, leads(), ahead=ahead)
    reading = Reading.objects.get()
    assert abs(timezone.now() - HOUR - reading.taken_at) < timedelta(seconds=5)
    assert reading.tablet_offset_seconds is not None
    assert abs(reading.tablet_offset_seconds - ahead.total_seconds()) < 5


def test_a_clock_set_right_while_it_waited_changes_nothing() -> None:
    """By the tablet a day ago, when it was known to be a day behind: just now."""
    found = moment_of(
        taken=(NOON - DAY - HOUR).timestamp() * 1000,
        sent=NOON.timestamp() * 1000,
        ahead=-DAY.total_seconds() * 1000,
        now=NOON,
    )
    assert found is not None
    assert (found.at, found.offset_seconds) == (NOON - HOUR, -86400.0)


def test_nothing_is_read_in_the_future() -> None:
    found = moment_of(
        taken=(NOON + DAY).timestamp() * 1000,
        sent=NOON.timestamp() * 1000,
        ahead=None,
        now=NOON,
    )
    assert found is not None
    assert (found.at, found.has_waited) == (NOON, False)


@pytest.mark.parametrize("nonsense", ["", "nan", "inf", "yesterday", "9" * 300, "1e15"])
def test_a_moment_that_is_none_is_now(
    send: Send, at_bench: Client, nonsense: str
) -> None:
    send(at_bench, leads(), **{"Taken-At": nonsense, "Tablet-Sequence": nonsense})
    reading = Reading.objects.get()
    assert timezone.now() - reading.taken_at < timedelta(seconds=5)


# --- who ---


def test_a_name_that_nothing_vouches_for_is_kept_and_said(
    send: Send, at_bench: Client, ines: Person
) -> None:
    send(at_bench, leads(), **{"Taken-Word": "made up"})
    reading = Reading.objects.get()
    assert (reading.by, reading.is_confirmed) == (ines, False)
    assert marks() == [Kind.NOT_CONFIRMED]


def test_a_word_holds_for_a_day_of_work_and_at_its_own_station(
    send: Send,
    client_of: Callable[[str], Client],
    ines: Person,
    hollin_lane: Shop,
    marit: Person,
) -> None:
    at, elsewhere = timezone.now(), station_of(hollin_lane, marit)
    word = presence.word_for(person=ines, shop=hollin_lane, station=None, now=at)

    def holds(moment: datetime, station: Station | None) -> bool:
        found = presence.present(
            claimed=str(ines.pk),
            word=word,
            switch="",
            shop=hollin_lane,
            station=station,
            at=moment,
        )
        return found is not None and found.is_confirmed

    assert holds(at + 11 * HOUR, None)
    assert not holds(at + 13 * HOUR, None)
    assert not holds(at - HOUR, None)
    assert not holds(at, elsewhere)


def station_of(shop: Shop, by: Person) -> Station:
    return stations.station_enrol(shop=shop, by=by, name="Window", is_bench=True)[0]


@pytest.mark.parametrize("is_right", [True, False])
def test_a_switch_without_network_vouches_once_its_pin_proved_right(
    sami: Person, hollin_lane: Shop, marit: Person, is_right: bool
) -> None:
    station, at = station_of(hollin_lane, marit), timezone.now()
    LateSwitch.objects.create(
        key="k" * 36,
        station=station,
        person=sami,
        switched_at=at,
        is_confirmed=is_right,
    )
    found = presence.present(
        claimed=str(sami.pk),
        word="",
        switch="k" * 36,
        shop=hollin_lane,
        station=station,
        at=at,
    )
    assert found == presence.Present(sami, is_right)


def test_somebody_of_another_shop_took_nothing_here(
    send: Send, at_bench: Client, ines: Person, elsewhere: Person
) -> None:
    send(at_bench, leads(), by=elsewhere)
    reading = Reading.objects.get()
    assert (reading.by, reading.is_confirmed) == (ines, False)


# --- a ticket that was closed meanwhile ---


def test_what_waited_until_the_ticket_was_closed_lands_and_is_marked_late(
    send: Send, at_bench: Client, job: Ticket, tomas: Person
) -> None:
    closed(job, tomas)
    answer = send(at_bench, leads(), ago=timedelta(minutes=5))
    reading = Reading.objects.get()
    assert (answer["Tablet-Kept"], reading.is_late) == ("yes", True)
    assert marks() == [Kind.CAME_LATE]
    assert not Event.objects.filter(kind=Kind.BOARD_TAKEN).exists()
    page = at_bench.get(f"/bench/{job.number}/{reading.board_id}/?reading={reading.pk}")
    assert "came after the ticket was closed" in page.content.decode()
    story = at_bench.get(job.get_absolute_url()).content.decode()
    assert "Came from a tablet after the ticket was closed" in story


def test_what_was_taken_a_moment_before_the_closing_lands_too(
    send: Send, at_bench: Client, job: Ticket, tomas: Person
) -> None:
    closed(job, tomas)
    soon = job.handover.at + timedelta(seconds=5)
    with time_machine.travel(soon, tick=False):  # a busy machine would make it late
        answer = send(at_bench, leads(), ago=timedelta(seconds=6))
    assert answer["Tablet-Kept"] == "yes"


def test_what_is_typed_after_the_closing_is_refused(
    send: Send, at_bench: Client, job: Ticket, tomas: Person
) -> None:
    closed(job, tomas)
    assert send(at_bench, leads(), ago=timedelta(0))["Tablet-Refused"] == "yes"
    assert not Reading.objects.exists()


def test_a_reading_belongs_to_the_epoch_in_which_it_was_taken(
    send: Send, at_bench: Client, board: Board, job: Ticket, ines: Person
) -> None:
    half_an_hour_ago = timezone.now() - HOUR / 2
    bench.intervention_do(
        board=board, ticket=job, by=ines, kind="cleaned", at=half_an_hour_ago
    )
    send(at_bench, leads())
    send(at_bench, leads("0.22"), ago=timedelta(minutes=5))
    assert list(Reading.objects.values_list("epoch", flat=True)) == [0, 1]
