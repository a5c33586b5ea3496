"""The day list: whose turn, what is late, who has heard nothing."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from django.conf import settings
from django.test import Client
from django.utils import timezone, translation

from diagnostics import services as bench
from shop.billing import services as billing
from shop.desk.day import day_list
from shop.desk.day_rows import drawn
from shop.intake.models import Ticket
from shop.intake.turn import Whose
from shop.money import Money
from shop.people.models import Person, Shop
from shop.records import warming
from shop.records.cache import cache
from tests.factories import TicketFactory
from tests.samples import board_of, line

ClientOf = Callable[[str], Client]


@pytest.mark.django_db
def test_an_empty_shop_says_how_to_begin(client_of: ClientOf) -> None:
    page = client_of("tomas").get("/counter/").content.decode()
    assert "No ticket is open." in page
    assert "Take the first machine in" in page


@pytest.mark.django_db
def test_a_new_ticket_is_ours(ticket: Ticket) -> None:
    day = day_list(ticket.shop, timezone.now())
    [group] = day.groups
    assert group.whose == Whose.OURS
    assert [row.ticket for row in group.rows] == [ticket]
    assert day.sentence == "1 is ours."


@pytest.mark.django_db
def test_a_broken_promise_comes_first_in_the_sentence(tomas: Person) -> None:
    now = timezone.now()
    TicketFactory.create(
        by=tomas, at=now - timedelta(days=6), promise=now - timedelta(days=2)
    )
    TicketFactory.create(by=tomas, promise=now + timedelta(seconds=1))
    day = day_list(tomas.memberships.get().shop, now)
    assert "1 promise is broken." in day.sentence
    assert "1 person has heard nothing for five days." in day.sentence
    late = next(row for row in day.groups[0].rows if row.is_late)
    assert late.late_by.days == 2


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("promised", "late"),
    [
        (datetime(2026, 3, 2, 17, 0, tzinfo=UTC), timedelta(days=3)),
        (datetime(2026, 3, 5, 9, 30, tzinfo=UTC), timedelta(hours=1, minutes=30)),
    ],
)
def test_late_is_counted_in_days_of_the_calendar(
    tomas: Person, promised: datetime, late: timedelta
) -> None:
    """Monday at five is three days late on Thursday morning, as the bench says."""
    now = datetime(2026, 3, 5, 11, 0, tzinfo=UTC)
    opened = datetime(2026, 2, 27, 9, 0, tzinfo=UTC)
    ticket = TicketFactory.create(by=tomas, at=opened, promise=promised)
    [row] = day_list(ticket.shop, now).groups[0].rows
    assert (row.is_late, row.late_by) == (True, late)


@pytest.mark.django_db
def test_a_day_that_they_hold_up_is_not_our_broken_promise(
    tomas: Person, ines: Person
) -> None:
    now = timezone.now()
    shop = tomas.memberships.get().shop
    job = TicketFactory.create(
        by=tomas, at=now - timedelta(days=2), ready_by=now - timedelta(days=1)
    )
    quote = billing.quote_send(ticket=job, by=tomas, lines=[line()])
    day = day_list(shop, now)
    (row,) = day.groups[0].rows
    assert row.is_held_up
    assert not row.is_late
    assert "promise" not in day.sentence
    assert "was " in drawn(row, tomas, now)
    billing.quote_answer(
        quote=quote, is_yes=True, answered_by="Ada", channel="phone", recorded_by=tomas
    )
    assert "1 promise is broken." in day_list(shop, now).sentence


@pytest.mark.django_db
def test_what_was_made_ready_is_not_reckoned_at_the_first_look(
    ticket: Ticket, ines: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    board_of(ticket, ines)
    cache.clear()
    warming.make_ready()

    def never(*_asked: object, **_more: object) -> None:
        raise AssertionError("reckoned again")

    monkeypatch.setattr("diagnostics.queries.known_of_all", never)
    for language, _name in settings.LANGUAGES:
        with translation.override(language):
            assert day_list(ticket.shop, timezone.now()).count == 1


@pytest.mark.django_db
def test_the_board_is_told_in_words(ticket: Ticket, ines: Person) -> None:
    board_of(ticket, ines)
    day = day_list(ticket.shop, timezone.now())
    strip = day.groups[0].rows[0].strip
    assert strip is not None
    assert strip.words == "Board: no volts read yet"
    assert len(strip.stages) >= 8


@pytest.mark.django_db
def test_another_shops_tickets_are_not_on_it(
    ticket: Ticket, client_elsewhere: Client
) -> None:
    page = client_elsewhere.get("/counter/").content.decode()
    assert ticket.customer.name not in page


@pytest.mark.django_db
@pytest.mark.parametrize("tickets", [1, 5])
def test_it_asks_the_database_as_often_for_many_tickets(
    tickets: int,
    tomas: Person,
    ines: Person,
    hollin_lane: Shop,
    django_assert_num_queries: Callable[[int], object],
) -> None:
    for _one in range(tickets):
        ticket = TicketFactory.create(by=tomas)
        bench.board_take(board=board_of(ticket, ines), ticket=ticket, by=ines)
        late = TicketFactory.create(by=tomas)
        billing.part_order(
            ticket=late,
            by=ines,
            supplier="Marsh",
            name="controller",
            price=Money.of(4, "EUR"),
            due_on=timezone.now().date() - timedelta(days=3),
        )
    with django_assert_num_queries(29):  # type: ignore[attr-defined]
        day_list(hollin_lane, timezone.now())
