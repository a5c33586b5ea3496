"""What is kept of a ticket's days: made when it changes, again and again if need be."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from shop.intake import services as intake
from shop.intake.models import Handover, Ticket
from shop.office.asked import Asked
from shop.office.models import CountedUpTo, TicketDays
from shop.office.sections import Section
from shop.office.turnaround import counting
from shop.office.turnaround.page import sections
from shop.people.models import Person, Shop
from shop.records import jobs
from shop.records.models import Event
from tests.factories import TicketFactory, handed_over

pytestmark = pytest.mark.django_db
NOW = datetime.fromisoformat("2026-03-04T12:00:00+00:00")
HOURS = timedelta(hours=1)


def closed(by: Person, days: float) -> Ticket:
    """Taken in that many days before ``NOW``, handed over an hour before it."""
    ticket = TicketFactory.create(by=by, at=NOW - timedelta(days=days))
    at = NOW - HOURS
    intake.outcome_record(ticket=ticket, by=by, kind="fixed", at=at - HOURS)
    intake.handover_do(ticket=ticket, by=by, given_to="Ada Pell", at=at)
    return ticket


def page(shop: Shop, now: datetime = NOW) -> dict[str, Section]:
    asked = Asked(now - timedelta(days=365), now, now)
    return {section.code: section for section in sections(shop, asked)}


def table(section: Section) -> list[list[Any]]:
    return [list(row) for row in section.table.rows]


def count() -> int:
    return counting.days_count(lambda: True)


def test_no_ticket_at_all(hollin_lane: Shop) -> None:
    found = page(hollin_lane)
    assert found["days"].says == "Too few yet: 0 of 3 closed tickets."
    assert found["back"].says == "Too few yet: 0 of 3 closed tickets."
    assert found["open"].says == "No ticket is open."
    assert found["weeks"].says.startswith("Too few yet: 0 of 8 weeks")
    assert "too few yet (0 tickets)" in found["first"].says
    assert found["balance"].says == "Too few yet: 0 of 3 closed tickets."
    assert found["back"].drawing is None


def test_one_ticket_is_an_anecdote(tomas: Person, hollin_lane: Shop) -> None:
    closed(tomas, 4)
    found = page(hollin_lane)
    assert found["days"].says == "Too few yet: 1 of 3 closed tickets."
    assert found["back"].drawing is None
    assert [row[:3] for row in table(found["families"])] == [["not named", 1, 0]]
    assert table(found["days"])[0][2] is None


def test_three_are_told_and_an_open_one_counts_as_open(
    tomas: Person, hollin_lane: Shop
) -> None:
    for days in (2, 4, 6):
        closed(tomas, days)
    TicketFactory.create(by=tomas, at=NOW - timedelta(days=9))
    found = page(hollin_lane)
    assert found["days"].says == (
        "On average a ticket took 4.0 days: 3.9 ours, 0.0 the customer’s,"
        " 0.0 a supplier’s, 0.1 the handover’s (3 tickets)."
    )
    assert found["back"].says == (
        "Half are back in 4 days; nine of ten is not reached yet"
        " (4 tickets, 1 of them open)."
    )
    assert found["open"].says == (
        "1 ticket is open: 1 our turn, 0 the customer’s, 0 a supplier’s,"
        " 0 the handover’s. None is here for more than 30 days."
    )


def test_the_parts_of_a_kept_row_are_its_whole(tomas: Person) -> None:
    ticket = closed(tomas, 3)
    assert count() == 1
    row = TicketDays.objects.get(pk=ticket.pk)
    assert row.closed is not None
    assert row.closed - row.opened == 3 * 86400 - 3600
    assert (row.queue, row.handover) == (3 * 86400 - 7200, 3600)
    assert row.told == "nothing"


def test_counting_twice_makes_nothing_anew(tomas: Person) -> None:
    closed(tomas, 3)
    TicketFactory.create(by=tomas)
    assert count() == 2
    assert count() == 0


def test_a_row_follows_its_newest_event(tomas: Person) -> None:
    ticket = closed(tomas, 3)
    count()
    before = TicketDays.objects.get(pk=ticket.pk).newest_event
    newest = Event.objects.create(
        shop_id=ticket.shop_id, kind="payment_taken", ticket_id=ticket.pk, at=NOW
    )
    assert count() == 1
    assert TicketDays.objects.get(pk=ticket.pk).newest_event == newest.pk > before


def test_a_ticket_that_opened_closes_in_its_row(tomas: Person) -> None:
    ticket = TicketFactory.create(by=tomas)
    count()
    assert TicketDays.objects.get(pk=ticket.pk).closed is None
    handed_over(ticket, tomas)
    assert count() == 1
    assert TicketDays.objects.get(pk=ticket.pk).closed is not None


def test_a_rebuilt_row_is_the_same(tomas: Person) -> None:
    for days in (2, 5):
        closed(tomas, days)
    count()
    before = list(TicketDays.objects.order_by("pk").values())
    TicketDays.objects.all().delete()
    CountedUpTo.objects.all().delete()
    assert count() == 2
    assert list(TicketDays.objects.order_by("pk").values()) == before


def test_an_event_written_late_with_an_early_number_is_seen(tomas: Person) -> None:
    """Two acts at once: the mark has passed the number before it is committed."""
    first, second = closed(tomas, 3), closed(tomas, 4)
    count()
    TicketDays.objects.filter(pk=first.pk).delete()
    assert count() == 1
    assert set(TicketDays.objects.values_list("pk", flat=True)) == {
        first.pk,
        second.pk,
    }


def test_what_was_taken_in_by_mistake_counts_nowhere(
    tomas: Person, hollin_lane: Shop
) -> None:
    ticket = TicketFactory.create(by=tomas, at=NOW - timedelta(days=2))
    count()
    intake.ticket_withdraw(ticket=ticket, by=tomas)
    count()
    assert not TicketDays.objects.exists()
    assert page(hollin_lane)["open"].says == "No ticket is open."


def test_what_was_brought_in_from_before_counts_nowhere(tomas: Person) -> None:
    TicketFactory.create(by=tomas, old_number="A-17")
    assert count() == 0
    assert not TicketDays.objects.exists()


def test_closed_before_it_was_opened_is_left_out_and_said(
    tomas: Person, hollin_lane: Shop
) -> None:
    for days in (2, 4, 6):
        closed(tomas, days)
    wrong = closed(tomas, 1)
    Handover.objects.filter(pk=wrong.handover.pk).update(at=NOW - timedelta(days=5))
    found = page(hollin_lane)
    assert "(3 tickets). 1 ticket left out: closed before it was opened." in (
        found["days"].says
    )


def test_a_page_waits_for_some_and_says_how_many_are_missing(
    tomas: Person, hollin_lane: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(counting, "BEFORE_A_PAGE", 3)
    for days in range(2, 7):
        closed(tomas, days)
    assert page(hollin_lane)["days"].says.endswith("2 tickets are still being counted.")
    assert "still being counted" not in page(hollin_lane)["days"].says


def test_a_killed_job_goes_on_where_it_was(
    tomas: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    for days in range(2, 7):
        closed(tomas, days)
    monkeypatch.setattr(counting, "AT_ONCE", 8)
    monkeypatch.setattr(counting, "AGAIN", 2)
    turns = iter([True, True, False])
    counting.days_count(lambda: next(turns))
    assert 0 < TicketDays.objects.filter(closed__isnull=False).count() < 5
    count()
    assert TicketDays.objects.filter(closed__isnull=False).count() == 5


def test_warranty_returns_are_told_apart(tomas: Person, hollin_lane: Shop) -> None:
    first = [closed(tomas, days) for days in (2, 4, 6)]
    again = TicketFactory.create(
        by=tomas,
        at=NOW - timedelta(days=1),
        customer=first[0].customer,
        device=first[0].device,
        intake_kind="warranty",
        returns_to=first[0],
    )
    Handover.objects.create(ticket=again, at=NOW - HOURS)
    Event.objects.create(
        shop_id=again.shop_id, kind="ticket_closed", ticket_id=again.pk, at=NOW - HOURS
    )
    rows = table(page(hollin_lane)["days"])
    assert rows[0][:2] == ["the period", 3]
    assert rows[-1][:2] == ["warranty returns", 1]


def test_weeks_are_of_the_zone_in_force_today(tomas: Person, hollin_lane: Shop) -> None:
    """Monday 00:30 in Auckland is Sunday in Dublin."""
    monday = datetime.fromisoformat("2026-03-01T11:30:00+00:00")
    ticket = TicketFactory.create(by=tomas, at=monday - timedelta(days=3))
    intake.outcome_record(ticket=ticket, by=tomas, kind="fixed", at=monday - HOURS)
    intake.handover_do(ticket=ticket, by=tomas, given_to="Ada Pell", at=monday)
    weeks = {}
    for zone in ("Europe/Dublin", "Pacific/Auckland"):
        hollin_lane.time_zone = zone
        section = page(hollin_lane)["weeks"]
        assert zone in section.means
        weeks[zone] = [str(row[0]) for row in table(section) if row[1]]
    assert weeks == {
        "Europe/Dublin": ["2026-02-23"],
        "Pacific/Auckland": ["2026-03-02"],
    }


def test_who_left_keeps_the_row(tomas: Person, ines: Person, hollin_lane: Shop) -> None:
    for days in (2, 4, 6):
        ticket = closed(tomas, days)
        Event.objects.create(
            shop_id=ticket.shop_id,
            kind="board_taken",
            ticket_id=ticket.pk,
            person_id=ines.pk,
            by=ines,
            at=NOW - timedelta(days=1),
        )
    ines.memberships.all().delete()
    ines.is_active = False
    ines.save()
    rows = table(page(hollin_lane)["technicians"])
    assert [row[:2] for row in rows] == [[ines.name, 3]]


def test_another_shop_sees_nothing_of_it(
    tomas: Person, elsewhere: Person, hollin_lane: Shop
) -> None:
    for days in (2, 4, 6):
        closed(tomas, days)
    other = Shop.objects.exclude(pk=hollin_lane.pk).get()
    assert elsewhere.memberships.filter(shop=other).exists()
    assert page(other)["days"].says == "Too few yet: 0 of 3 closed tickets."


def test_the_job_is_registered() -> None:
    assert jobs.REGISTERED["count days of tickets"].act is counting.job


def test_the_page_asks_as_often_for_many_tickets(
    tomas: Person, hollin_lane: Shop
) -> None:
    asked = []
    for days in (2, 3, 4, 5, 6, 7):
        closed(tomas, days)
        TicketFactory.create(by=tomas, at=timezone.now() - timedelta(days=days))
        count()
        with CaptureQueriesContext(connection) as seen:
            page(hollin_lane)
        asked.append(len(seen))
    assert asked[-1] <= asked[0] + 1
    assert asked[-1] < 30


def test_of_many_that_wait_it_is_said_that_there_are_more(
    tomas: Person, hollin_lane: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    for days in range(1, 5):
        closed(tomas, days)
    assert counting.uncounted(hollin_lane) == (4, True)
    events = list(Event.objects.order_by("pk").values_list("pk", "kind"))
    second = [n for n, (_pk, kind) in enumerate(events) if kind == "ticket_closed"][1]
    monkeypatch.setattr(counting, "LOOKED_AT", second + 1)
    assert counting.uncounted(hollin_lane) == (2, False)
    with CaptureQueriesContext(connection) as seen:
        counting.uncounted(hollin_lane)
    assert len(seen) == 6
