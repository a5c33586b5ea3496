"""Whom nothing holds, told of many at once, beside the word on each by itself."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from shop.billing import owing
from shop.billing import services as billing
from shop.intake.models import Customer, Handover, Ticket
from shop.money import Money
from shop.people.models import Person, Shop
from shop.rights.at_rest import at_rest
from shop.rights.whom import obstacle, whom
from tests.factories import CustomerFactory, TicketFactory


def free() -> set[int]:
    """By the sentence that each by itself is given."""
    rows = Customer.objects.filter(joined_to=None, erased_at=None)
    return {row.pk for row in rows if not obstacle(whom(row))}


def told() -> set[int]:
    return at_rest(list(Customer.objects.filter(joined_to=None, erased_at=None)))


def handed_over(ticket: Ticket) -> Ticket:
    Handover.objects.create(ticket=ticket, given_to="Ada Pell", at=timezone.now())
    return ticket


def pay(ticket: Ticket, by: Person, minor: int, reason: str = "") -> None:
    billing.payment_take(
        shop=ticket.shop,
        by=by,
        ticket=ticket,
        amount=Money.from_minor(minor, ticket.currency),
        method="cash",
        reason=reason,
    )


@pytest.mark.one_database
def test_in_a_told_year_nobody_is_let_go_whom_something_holds(told_year: Shop) -> None:
    held = Customer.objects.filter(joined_to=None).count() - len(free())
    assert held > 5
    assert told() <= free()
    assert len(told()) > len(free()) / 2


@pytest.mark.django_db
def test_what_holds_a_customer_one_thing_at_a_time(tomas: Person) -> None:
    ticket = TicketFactory.create(by=tomas)
    assert told() == set()  # it is open
    handed_over(ticket)
    assert told() == free() == {ticket.customer_id}
    pay(ticket, tomas, 500)
    assert told() == free() == set()  # the money is the customer's
    pay(ticket, tomas, -500, "Paid twice")
    assert told() == free() == {ticket.customer_id}


@pytest.mark.django_db
def test_an_invoice_holds_until_it_is_paid_to_the_unit(
    worked_ticket: Ticket, tomas: Person
) -> None:
    ticket = handed_over(worked_ticket)
    left = owing.invoiced(ticket).minor - owing.paid(ticket).minor
    assert left > 1
    assert ticket.customer_id not in told() | free()
    pay(ticket, tomas, left - 1)
    assert ticket.customer_id not in told() | free()
    pay(ticket, tomas, 1)
    assert ticket.customer_id in free()


@pytest.mark.django_db
def test_many_take_as_many_queries_as_one(tomas: Person, hollin_lane: Shop) -> None:
    counts = []
    for _one in range(2):
        handed_over(TicketFactory.create(by=tomas))
        CustomerFactory.create(shop=hollin_lane)
        rows = list(Customer.objects.all())
        with CaptureQueriesContext(connection) as asked:
            assert at_rest(rows) == {row.pk for row in rows}
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 8
