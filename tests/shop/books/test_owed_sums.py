"""What is owed invoice by invoice, held against going through all rows by hand."""

import random
from datetime import datetime, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from shop.billing.models import Invoice, Payment
from shop.books import debts, queries
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from shop.records.cache import cache
from tests.factories import TicketFactory
from tests.shop.books.test_debts import Papers, paper

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
__all__ = ["paper"]


@pytest.fixture
def told(hollin_lane: Shop, tomas: Person, paper: Papers) -> list[Ticket]:
    """Tickets with several papers, credit notes and payments, and some without one."""
    draw = random.Random(7)
    tickets = [TicketFactory.create(by=tomas) for _n in range(8)]
    for n in range(40):
        ticket = draw.choice([*tickets, None])
        at = timezone.now() - draw.randrange(3, 60) * DAY
        one = paper(
            ticket,
            draw.randrange(100, 9000),
            issued_at=at,
            due_on=(at + 14 * DAY).date(),
            currency=draw.choice(["EUR", "EUR", "GBP"]),
            prepaid_minor=0 if ticket else draw.choice([0, 50]),
        )
        if n % 4 == 0:
            back = {"kind": "credit_note", "corrects": one, "is_partial": True}
            paper(ticket, -60, issued_at=at + DAY, currency=one.currency, **back)
        Payment.objects.create(
            shop=hollin_lane,
            ticket=ticket,
            invoice=None if ticket else one,
            currency=one.currency,
            amount_minor=draw.randrange(1, 7000),
            method="card",
            by=tomas,
            at=at + 2 * DAY,
        )
    return tickets


def by_hand(shop: Shop, currency: str, until: datetime) -> dict[int, Decimal]:
    """Row by row, in Decimal: an account's payments settle its oldest invoice first."""
    owed: dict[int, Decimal] = {}
    accounts: dict[tuple[object, ...], list[Invoice]] = {}
    for one in Invoice.objects.filter(shop=shop, issued_at__lt=until).order_by("pk"):
        if one.currency == currency:
            key = (
                ("t", one.ticket_id) if one.ticket else ("i", one.corrects_id or one.pk)
            )
            accounts.setdefault(key, []).append(one)
    for (kind, pk), papers in accounts.items():
        of = {"ticket": pk} if kind == "t" else {"invoice": pk}
        payments = Payment.objects.filter(at__lt=until, currency=currency, **of)
        hand = sum((one.settled.amount * 100 for one in payments), Decimal(0))
        for bill in papers:
            if bill.corrects_id is None:
                back = (one.total_minor for one in papers if one.corrects_id == bill.pk)
                prepaid = bill.prepaid_minor if kind == "i" else 0
                left = Decimal(bill.total_minor - prepaid + sum(back))
                owed[bill.pk], hand = (
                    max(left - hand, Decimal(0)),
                    max(hand - left, Decimal(0)),
                )
    return {pk: minor for pk, minor in owed.items() if minor}


@pytest.mark.parametrize("currency", ["EUR", "GBP"])
def test_it_is_what_going_through_the_rows_finds(
    told: list[Ticket],
    hollin_lane: Shop,
    currency: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(queries, "AT_ONCE", 3)
    expected = by_hand(hollin_lane, currency, timezone.now())
    found = queries.open_invoices(hollin_lane, currency=currency)
    assert {one.pk: one.owed for one in found} == expected
    assert expected, "something is owed"
    assert [one.due_on for one in found] == sorted(one.due_on for one in found)
    for one in found:
        assert queries.owed_of(Invoice.objects.get(pk=one.pk)) == one.owed


def test_as_of_a_moment_nothing_later_counts(
    told: list[Ticket], hollin_lane: Shop
) -> None:
    then = timezone.now() - 20 * DAY
    expected = by_hand(hollin_lane, "EUR", then)
    found = queries.open_invoices(hollin_lane, then)
    assert {one.pk: one.owed for one in found} == expected
    assert sum(expected.values()) == sum(
        minor
        for job, minor in debts.debts_until(hollin_lane, then).items()
        if job.currency == "EUR" and minor > 0
    )


def test_once_summed_it_asks_little(told: list[Ticket], hollin_lane: Shop) -> None:
    cache.clear()
    queries.open_invoices(hollin_lane)
    with CaptureQueriesContext(connection) as seen:
        queries.open_invoices(hollin_lane)
    assert len(seen) == 4
