"""The owner's page: what waits, what is owing, nothing invented."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from shop.billing import queries as money
from shop.billing import services as billing
from shop.intake.models import Ticket
from shop.money import Money
from shop.office import queries
from shop.people.models import Person, Shop
from tests.factories import TicketFactory

ClientOf = Callable[[str], Client]


@pytest.mark.django_db
def test_an_empty_shop_gives_sane_output(hollin_lane: Shop) -> None:
    review = queries.review(hollin_lane, timezone.now())
    assert review.split is None
    assert review.owing == []
    assert review.invoiced == review.paid == Money.of(0, "EUR")


@pytest.mark.django_db
def test_the_page_says_too_few_instead_of_a_number(client_of: ClientOf) -> None:
    page = client_of("marit").get("/office/").content.decode()
    assert "Too few closed tickets" in page
    assert "Nothing is owing." in page


def test_an_unpaid_invoice_is_owing_until_it_is_paid(worked_ticket: Ticket) -> None:
    shop, now = worked_ticket.shop, timezone.now()
    invoice = worked_ticket.invoices.get()
    [owing] = queries.review(shop, now).owing
    assert owing.invoice == invoice
    assert owing.due == money.balance(worked_ticket).due
    assert owing.days_late == 0
    late = queries.review(shop, now + timedelta(days=20)).owing
    assert late[0].days_late > 0
    billing.payment_take(
        shop=shop, by=invoice.by, amount=owing.due, method="card", ticket=worked_ticket
    )
    assert queries.review(shop, now).owing == []


@pytest.mark.django_db
def test_what_nobody_has_touched_for_three_days_is_named(tomas: Person) -> None:
    now = timezone.now()
    old = TicketFactory.create(by=tomas, at=now - timedelta(days=4))
    TicketFactory.create(by=tomas, at=now - timedelta(days=1))
    shop = old.shop
    assert [w.ticket for w in queries.review(shop, now).untouched] == [old]


@pytest.mark.django_db
@pytest.mark.parametrize("tickets", [2, 6])
def test_the_page_asks_the_database_as_often_for_many_tickets(
    tickets: int,
    tomas: Person,
    client_of: ClientOf,
    django_assert_num_queries: Callable[[int], object],
) -> None:
    for _one in range(tickets):
        TicketFactory.create(by=tomas)
    client = client_of("marit")
    with django_assert_num_queries(14):  # type: ignore[attr-defined]
        client.get("/office/")
