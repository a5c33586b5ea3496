"""Finding tickets, and whose turn many of them are with one query."""

import pytest
from django.http import Http404
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from shop.intake import queries
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from tests.factories import CustomerFactory, DeviceFactory, TicketFactory


@pytest.fixture
def noor(tomas: Person, hollin_lane: Shop) -> Ticket:
    customer = CustomerFactory.create(
        shop=hollin_lane,
        name="Noor Aldaba",
        phone_typed="020 7946 0958",
        phone_e164="+442079460958",
    )
    device = DeviceFactory.create(customer=customer, serial="CS-7788")
    return TicketFactory.create(by=tomas, device=device)


@pytest.mark.parametrize(
    "text", ["noor", "Aldaba", "0958", "7946 0958", "+442079460958", "cs-77"]
)
def test_a_ticket_is_found_by_what_one_knows(
    noor: Ticket, ticket: Ticket, text: str
) -> None:
    assert queries.find(noor.shop, text) == [noor]


def test_a_number_or_a_tag_finds_one_ticket(noor: Ticket, ticket: Ticket) -> None:
    assert queries.find(noor.shop, noor.number) == [noor]
    assert queries.find(noor.shop, f" {ticket.number}-2 ") == [ticket]


def test_a_mistyped_number_finds_what_it_may_have_meant(
    noor: Ticket, ticket: Ticket
) -> None:
    last = (int(noor.number[-1]) + 1) % 10
    wrong = f"{noor.number[:-1]}{last}"
    assert queries.is_mistyped(wrong)
    assert noor in queries.find(noor.shop, wrong)


@pytest.mark.parametrize(
    "text", ["", "  ", "zzz", "%", "x" * 5000, "'; --", "\u202e", "\0"]
)
def test_what_is_not_there_is_not_found(noor: Ticket, text: str) -> None:
    assert queries.find(noor.shop, text) == []
    assert not queries.is_mistyped(text)


def test_another_shop_finds_nothing(noor: Ticket, elsewhere: Person) -> None:
    shop = TicketFactory.create(by=elsewhere).shop
    assert queries.find(shop, "Noor") == []
    with pytest.raises(Http404):
        queries.ticket_get(shop, queries.find(noor.shop, "Noor")[0].number + "0")


@pytest.mark.parametrize("number", ["18", "0", "", "x", "19-1", "٠١٩"])
def test_a_wrong_number_is_not_there(ticket: Ticket, number: str) -> None:
    with pytest.raises(Http404):
        queries.ticket_get(ticket.shop, number)


def test_turns_of_many_tickets_take_two_queries_then_one(
    tomas: Person, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    tickets = [TicketFactory.create(by=tomas) for _ in range(5)]
    with django_assert_num_queries(2):
        turns = queries.turns_of(tickets, timezone.now())
    with django_assert_num_queries(1):
        again = queries.turns_of(tickets, timezone.now())
    assert {pk: turn.since for pk, turn in again.items()} == {
        pk: turn.since for pk, turn in turns.items()
    }
    assert set(turns) == {ticket.pk for ticket in tickets}


def test_the_list_of_open_tickets_takes_one_query(
    tomas: Person, hollin_lane: Shop, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for _ in range(3):
        TicketFactory.create(by=tomas)
    with django_assert_num_queries(1):
        said = [
            (t.number, t.customer.name, t.device.model, t.shop.zone)
            for t in queries.tickets_open(hollin_lane)
        ]
    assert len(said) == 3


def test_returning_customers_are_offered_by_name_or_phone(noor: Ticket) -> None:
    shop, known = noor.shop, [noor.customer]
    assert queries.customers_like(shop, "no", "") == known
    assert queries.customers_like(shop, "", "946 09") == known
    assert queries.customers_like(shop, "n\0", "\0") == []
    assert queries.customers_like(shop, "", "") == []
