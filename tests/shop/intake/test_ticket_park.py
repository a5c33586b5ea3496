"""Parking, telling the customer, promising: what moves the turn."""

from datetime import UTC, date, datetime, timedelta

import pytest

from shop.intake import queries
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.intake.turn import Turn
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from tests.factories import ShopFactory, TicketFactory

AT = datetime(2026, 10, 14, 9, 10, tzinfo=UTC)
LATER = AT + timedelta(hours=2)


@pytest.fixture
def taken(tomas: Person) -> Ticket:
    return TicketFactory.create(by=tomas, at=AT)


def park(ticket: Ticket, by: Person, **more: object) -> None:
    fields: dict[str, object] = {
        "until": date(2026, 10, 16),
        "because": "drying",
        "waits_for": "resting",
        "at": LATER,
    }
    intake.ticket_park(ticket=ticket, by=by, **(fields | more))  # type: ignore[arg-type]


def turn(ticket: Ticket, *, days: float) -> Turn:
    return queries.turn_of(ticket, AT + timedelta(days=days))


def test_a_parked_ticket_rests_until_its_day_begins(
    taken: Ticket, ines: Person
) -> None:
    park(taken, ines)
    assert turn(taken, days=1).part == "parked"
    assert turn(taken, days=1).details["until"] == datetime(2026, 10, 16, tzinfo=UTC)
    assert turn(taken, days=2).part == "queue"


def test_the_day_begins_by_the_shops_clock(ines: Person) -> None:
    shop: Shop = ShopFactory.create(time_zone="Asia/Tokyo")
    ticket = TicketFactory.create(by=ines, shop=shop, at=AT)
    park(ticket, ines)
    until = turn(ticket, days=1).details["until"]
    assert until == datetime(2026, 10, 15, 15, tzinfo=UTC)


def test_it_can_be_taken_up_before(taken: Ticket, ines: Person) -> None:
    park(taken, ines, until=None)
    intake.ticket_unpark(ticket=taken, by=ines, at=AT + timedelta(days=1))
    assert turn(taken, days=1).part == "queue"


def test_parked_for_the_customer_is_the_customers_turn(
    taken: Ticket, tomas: Person
) -> None:
    park(taken, tomas, waits_for="customer", because="decision")
    assert turn(taken, days=1).whose == "customer"


@pytest.mark.parametrize(
    "given",
    [
        {"waits_for": "the weather"},
        {"because": "a long story of my own"},
        {"because": "x" * 41},
        {"until": date(2026, 10, 14)},
    ],
)
def test_nonsense_is_refused(
    taken: Ticket, ines: Person, given: dict[str, object]
) -> None:
    with pytest.raises(Refused):
        park(taken, ines, **given)
    assert turn(taken, days=1).part == "queue"


def test_telling_the_customer_ends_the_silence(taken: Ticket, tomas: Person) -> None:
    intake.customer_told(
        ticket=taken,
        by=tomas,
        channel="text",
        next_contact=date(2026, 10, 20),
        at=LATER,
    )
    assert turn(taken, days=3).silent_since == LATER
    assert turn(taken, days=3).next_contact == date(2026, 10, 20)


@pytest.mark.parametrize(
    ("channel", "day"), [("pigeon", None), ("phone", date(2026, 10, 13))]
)
def test_telling_needs_a_way_and_a_day_to_come(
    taken: Ticket, tomas: Person, channel: str, day: date | None
) -> None:
    with pytest.raises(Refused):
        intake.customer_told(
            ticket=taken, by=tomas, channel=channel, next_contact=day, at=LATER
        )


def test_a_promise_stands_until_made_anew(taken: Ticket, tomas: Person) -> None:
    for days in (2, 5):
        intake.promise_make(
            ticket=taken, by=tomas, promise=AT + timedelta(days=days), at=LATER
        )
    assert turn(taken, days=1).promise == AT + timedelta(days=5)


def test_a_promise_of_yesterday_is_refused(taken: Ticket, tomas: Person) -> None:
    with pytest.raises(Refused, match="over"):
        intake.promise_make(ticket=taken, by=tomas, promise=AT, at=LATER)
