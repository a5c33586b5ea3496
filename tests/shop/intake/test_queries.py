"""Tickets by their numbers, and whose turn many of them are with one query."""

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


@pytest.mark.parametrize("number", ["18", "0", "", "x", "19-1", "٠١٩"])
def test_a_wrong_number_is_not_there(ticket: Ticket, number: str) -> None:
    with pytest.raises(Http404):
        queries.ticket_get(ticket.shop, number)


def test_another_shop_has_no_such_ticket(ticket: Ticket, elsewhere: Person) -> None:
    shop = TicketFactory.create(by=elsewhere).shop
    with pytest.raises(Http404):
        queries.ticket_get(shop, f"{ticket.number}0")


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
