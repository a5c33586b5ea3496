"""The day that is suggested, and the warning before a promise breaks."""

from collections.abc import Callable
from datetime import datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.utils import timezone

from diagnostics.bench_list import rows_of
from shop.desk import day_rows
from shop.desk.day import day_list
from shop.intake import promise_words, promising, services
from shop.intake.models import Ticket
from shop.people import house_services
from shop.people.house_services import Closed, Stretch
from shop.people.models import Person, Shop
from tests.factories import TicketFactory
from tests.samples import board_of

pytestmark = pytest.mark.django_db
BERLIN = ZoneInfo("Europe/Berlin")
MONDAY = datetime(2026, 3, 23, 9, tzinfo=BERLIN)  # clocks go on the Sunday after
NOW = MONDAY + timedelta(days=4)  # a Friday, at nine
WEEK = [Stretch(day, time(9), time(17)) for day in range(5)]


@pytest.fixture
def open_week(hollin_lane: Shop, marit: Person) -> Shop:
    """Eight hours from Monday to Friday; closed on Monday, 30 March."""
    hollin_lane.time_zone = "Europe/Berlin"
    hollin_lane.save()
    off = MONDAY.date() + timedelta(days=7)
    return house_services.hours_keep(
        shop=hollin_lane,
        by=marit,
        version=hollin_lane.version,
        week=WEEK,
        closed=[Closed(off, off, "Inventory")],
    )


def took(by: Person, hours: int, *, kind: str = "fixed") -> Ticket:
    """One of the four days before ``NOW`` that took so many open hours."""
    ticket = TicketFactory.create(by=by, at=MONDAY)
    days, rest = divmod(hours, 8)
    at = MONDAY + timedelta(days=days, hours=rest)
    services.outcome_record(ticket=ticket, by=by, kind=kind, at=at)
    return ticket


def test_five_working_days_until_there_is_history(
    open_week: Shop, tomas: Person
) -> None:
    for _one in range(9):
        took(tomas, 4)
    took(tomas, 4, kind="declined")  # called off: no turnaround
    found = promising.suggestion_at_intake(open_week, NOW, "laptop")
    assert found is not None
    assert (found.count, found.is_usual) == (9, False)
    # Tue, Wed, Thu, Fri, Mon: Monday the 30th is closed.
    assert found.by == datetime(2026, 4, 6, 17, tzinfo=BERLIN)
    assert "9 were ready" in promise_words.suggested(found)


def test_from_ten_on_it_is_what_eight_in_ten_took(
    open_week: Shop, tomas: Person
) -> None:
    for hours in (2, 3, 4, 5, 6, 7, 9, 10, 30, 31):
        took(tomas, hours)
    found = promising.suggestion_at_intake(open_week, NOW, "laptop")
    assert found is not None
    assert (found.count, found.is_usual) == (10, True)
    # 10 h: Friday's eight and two of Tuesday; Monday is closed.
    assert found.by == datetime(2026, 3, 31, 17, tzinfo=BERLIN)
    for _open in range(5):  # censored at 32 h: fewer than eight in ten by 10 h
        TicketFactory.create(by=tomas, at=MONDAY)
    later = promising.suggestion_at_intake(open_week, NOW, "laptop")
    assert later is not None
    assert later.by > found.by


def test_a_promise_warns_before_it_breaks(open_week: Shop, tomas: Person) -> None:
    for hours in (8, 9, 16, 17, 18, 19, 20, 21, 22, 23):
        took(tomas, hours)
    tight, easy = (
        TicketFactory.create(
            by=tomas, at=NOW - timedelta(hours=16), ready_by=NOW + timedelta(hours=n)
        )
        for n in (4 * 24 + 6, 7 * 24)
    )
    day = day_list(open_week, NOW)
    rows = {row.ticket: row.breaking for group in day.groups for row in group.rows}
    assert rows[easy] is None
    warned = rows[tight]
    assert warned is not None
    # Friday's eight hours and six of Tuesday; half take 18 h, taken in at closing.
    assert (warned.left, warned.still) == (14, 18)
    assert "1 promise is about to break." in day.sentence
    with timezone.override(BERLIN):
        said = promise_words.breaks(warned, NOW + timedelta(days=3))
    assert said == "breaks tomorrow at 15:00"
    assert "14 h open left, such tickets still take 18 h" in promise_words.unless(
        warned
    )
    row = next(r for g in day.groups for r in g.rows if r.ticket == tight)
    assert "such tickets still take 18 h" in day_rows.drawn(row, tomas, NOW)
    bench = {row.ticket: row.breaking for row in rows_of(open_week, NOW)}
    assert (bench[tight], bench[easy]) == (warned, None)


def test_the_day_is_offered_and_typed_over(
    client_of: Callable[[str], Client], send: Callable[..., Any], open_week: Shop
) -> None:
    desk = client_of("tomas")
    page = desk.get("/counter/new/")
    assert page.context["form"].initial["ready_by"].hour == 17
    assert "Five working days, until more tickets tell" in page.content.decode()
    taken = send(
        desk,
        "/counter/new/",
        name="Ada",
        kind="laptop",
        model="Orrin 14",
        told="Dead.",
        ready_by="2099-05-04T15:00",
    )
    ticket = Ticket.objects.get()
    assert taken.status_code == 302
    assert "Promised: Monday 4 May, 15:00" in desk.get(taken.url).content.decode()
    promise = desk.get(f"/tickets/{ticket.number}/promise/")
    assert promise.context["form"].initial["promise"].hour == 17


def test_a_board_of_the_same_family_is_most_alike(
    open_week: Shop, ticket: Ticket, ines: Person
) -> None:
    board_of(ticket, ines)
    history = promising.history_of(open_week, timezone.now())
    assert history.alike(ticket) == ("Laptop, round adapter plug", "laptop")
