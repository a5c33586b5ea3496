"""What jobs owe: carried on, summed anew, and row by row, always the same."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from shop.billing.models import Invoice, Payment
from shop.books.debts import Job, debts
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from shop.records.cache import cache
from tests.factories import TicketFactory

pytestmark = pytest.mark.django_db
Papers = Callable[..., Invoice]


@pytest.fixture
def paper(hollin_lane: Shop, marit: Person) -> Papers:
    """A paper of some amount, as far as sums ask."""

    def write(ticket: Ticket | None, total: int, **more: Any) -> Invoice:
        serial = more.pop("serial", None) or Invoice.objects.count() + 1
        today = timezone.localdate()
        return Invoice.objects.create(
            **{
                "shop": hollin_lane,
                "number": f"T-{serial}",
                "serial": serial,
                "ticket": ticket,
                "currency": "EUR",
                "seller": {},
                "buyer": {"name": "Ada Pell"},
                "device": {},
                "story": {},
                "evidence": [],
                "net_minor": total,
                "tax_minor": 0,
                "total_minor": total,
                "due_on": today - timedelta(days=20),
                "by": marit,
                "issued_at": timezone.now(),
                **more,
            }
        )

    return write


def paid(paper: Invoice | None, ticket: Ticket | None, amount: int) -> Payment:
    some = Invoice.objects.latest("pk")
    return Payment.objects.create(
        shop=some.shop,
        ticket=ticket,
        invoice=paper,
        currency="EUR",
        amount_minor=amount,
        method="cash",
        by=some.by,
    )


def anew(shop: Shop) -> dict[Job, int]:
    cache.clear()
    return dict(debts(shop))


def test_a_shop_without_papers_is_owed_nothing(hollin_lane: Shop) -> None:
    assert debts(hollin_lane) == {}


def test_what_came_since_is_carried_on(
    hollin_lane: Shop, ticket: Ticket, paper: Papers
) -> None:
    paper(ticket, 1000)
    job = Job("ticket", ticket.pk, "EUR")
    assert debts(hollin_lane) == {job: 1000}
    paid(None, ticket, 400)
    assert debts(hollin_lane) == {job: 600} == anew(hollin_lane)
    paid(None, ticket, 700)
    assert debts(hollin_lane) == {job: -100} == anew(hollin_lane)
    paid(None, ticket, -100)
    assert debts(hollin_lane) == {} == anew(hollin_lane)


def test_rounding_to_coins_settles_nothing(
    hollin_lane: Shop, ticket: Ticket, paper: Papers
) -> None:
    first = paper(ticket, 1002)
    Payment.objects.create(
        shop=hollin_lane,
        ticket=ticket,
        currency="EUR",
        amount_minor=1000,
        rounding_minor=-2,
        method="cash",
        by=first.by,
    )
    assert debts(hollin_lane) == {} == anew(hollin_lane)


def test_an_accounts_month_is_a_job_by_itself(
    hollin_lane: Shop, ticket: Ticket, paper: Papers
) -> None:
    """Less what was paid on its tickets, a credit note, and payments to it."""
    month = paper(None, 1000, prepaid_minor=100)
    job = Job("invoice", month.pk, "EUR")
    assert debts(hollin_lane) == {job: 900}
    note = {"kind": "credit_note", "corrects": month, "is_partial": True}
    paper(None, -200, **note)
    paid(month, None, 300)
    assert debts(hollin_lane) == {job: 400} == anew(hollin_lane)
    paid(month, ticket, 400)
    assert debts(hollin_lane) == {} == anew(hollin_lane)


def test_two_currencies_of_a_ticket_stay_apart(
    hollin_lane: Shop, ticket: Ticket, paper: Papers
) -> None:
    paper(ticket, 1000)
    paper(ticket, 500, currency="GBP")
    expected = {
        Job("ticket", ticket.pk, "EUR"): 1000,
        Job("ticket", ticket.pk, "GBP"): 500,
    }
    assert debts(hollin_lane) == expected == anew(hollin_lane)


def test_a_paper_committed_late_is_not_missed(
    hollin_lane: Shop, ticket: Ticket, paper: Papers
) -> None:
    """One with an earlier number, that another transaction had open meanwhile."""
    newest = paper(ticket, 1000)
    assert sum(debts(hollin_lane).values()) == 1000
    paper(ticket, 70, pk=newest.pk + 10)
    assert sum(debts(hollin_lane).values()) == 1070
    paper(ticket, 5, pk=newest.pk + 5)
    assert sum(debts(hollin_lane).values()) == 1075 == sum(anew(hollin_lane).values())


def test_another_shop_is_none_of_ours(
    hollin_lane: Shop, elsewhere: Person, paper: Papers
) -> None:
    theirs = TicketFactory.create(by=elsewhere)
    paper(theirs, 1000, shop=theirs.shop)
    assert debts(hollin_lane) == {}
    assert sum(debts(theirs.shop).values()) == 1000


@pytest.mark.parametrize("tickets", [2, 9])
def test_it_asks_as_often_however_much_came(
    tickets: int, hollin_lane: Shop, tomas: Person, paper: Papers
) -> None:
    for _n in range(tickets):
        paper(TicketFactory.create(by=tomas), 100)
    with CaptureQueriesContext(connection) as whole:
        debts(hollin_lane)
    assert len(whole) == 10
    for _n in range(tickets):
        paper(TicketFactory.create(by=tomas), 100)
    with CaptureQueriesContext(connection) as more:
        assert sum(debts(hollin_lane).values()) == 200 * tickets
    assert len(more) == 6
    with CaptureQueriesContext(connection) as same:
        debts(hollin_lane)
    assert len(same) == 2
