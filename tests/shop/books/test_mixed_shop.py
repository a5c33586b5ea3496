"""A small shop with every way of owing: the books, the aged list and billing agree."""

import io
import zipfile
from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db.models import Sum

from shop.billing import owing
from shop.billing import services as billing
from shop.billing.accounts.paying import account_payment_take
from shop.billing.accounts.statement import open_at
from shop.billing.models import Invoice, InvoiceLine, Payment
from shop.billing.paying.rules import rules_set
from shop.books import till
from shop.books.balance import TrialBalance, trial_balance
from shop.books.bundle.checks import series_of, ties
from shop.books.bundle.writing import bundle
from shop.books.journal import entries
from shop.books.naming import codes_of
from shop.books.periods import Period
from shop.books.posting.accounts import Account, Rate, advances, revenue
from shop.books.posting.ageing import aged
from shop.books.queries import open_invoices
from shop.intake.models import Customer, Ticket
from shop.people.models import Person, Shop
from tests.factories import TicketFactory
from tests.shop.billing.accounts import IN_APRIL, OPENED, college_of, gone_back, issued
from tests.shop.books.acts import billed, eur, pay

pytestmark = pytest.mark.django_db
LAST = date(2026, 5, 31)
DAY = timedelta(days=1)
S20 = Rate("S", 2000)
Act = Callable[..., Any]


@pytest.fixture
def by(tomas: Person) -> Person:
    return tomas


def taking(shop: Shop, by: Person, paper: str, at: datetime) -> None:
    """From then on advances get that paper, and the least coin is 0.05."""
    rules_set(shop=shop, by=by, deposit_paper=paper, cash_step_minor=5, at=at)


@pytest.fixture
def opened(hollin_lane: Shop, by: Person) -> Act:
    def ticket(**columns: Any) -> Ticket:
        words = {"by": by, "shop": hollin_lane, "at": OPENED} | columns
        return TicketFactory.create(**words)

    return ticket


@pytest.fixture
def college(hollin_lane: Shop, by: Person, opened: Act) -> Customer:
    """The account of the shop, when all this was told; every fee is 35.00 + 7.00."""
    college = college_of(hollin_lane, by)
    taking(hollin_lane, by, "receipt", OPENED - DAY)
    tickets_with_receipts(opened, by)
    monthly = gone_back(college, by)
    pay(monthly, by, "18.80", at=OPENED + DAY)
    taking(hollin_lane, by, "invoice", OPENED + 2 * DAY)
    tickets_with_prepayments(opened, by)
    pay(gone_back(college, by), by, "24.00", "card", at=OPENED + 3 * DAY)
    bill = issued(college, by)
    assert (bill.total, bill.prepaid) == (eur("213.60"), eur("18.80"))
    account_payment_take(
        customer=college,
        by=by,
        amount=eur("50.00"),
        method="transfer",
        at=IN_APRIL + DAY,
    )
    a_sale(hollin_lane, by)
    return college


def tickets_with_receipts(opened: Act, by: Person) -> None:
    unpaid, credited, rounded, much = (opened() for _n in range(4))
    for ticket in (unpaid, credited, rounded, much):
        bill = billed(ticket, by, at=OPENED + timedelta(hours=2))
        less = {credited: "10.00", rounded: "0.01"}.get(ticket)
        if less:
            billing.credit_note_issue(
                invoice=bill, by=by, takes={1: eur(less)}, at=OPENED + DAY
            )
    pay(unpaid, by, "20.00", "card", at=OPENED + DAY)
    pay(rounded, by, "41.99", at=OPENED + DAY)
    other = opened(customer=much.customer, device=much.device)
    billing.payment_take(
        shop=much.shop,
        by=by,
        ticket=much,
        amount=eur("50.00"),
        method="card",
        keeps_more=True,
        at=OPENED + DAY,
    )
    billed(other, by, at=OPENED + DAY)
    billing.credit_move(source=much, target=other, by=by, at=OPENED + 2 * DAY)


def tickets_with_prepayments(opened: Act, by: Person) -> None:
    """One billed, one waiting, one given back."""
    at = OPENED + 3 * DAY
    done, waiting, back = (opened() for _n in range(3))
    for ticket in (done, waiting, back):
        pay(ticket, by, "24.00", "card", at=at)
    billed(done, by, at=at + DAY)
    billing.credit_note_issue(invoice=back.invoices.get(), by=by, at=at + DAY)
    pay(back, by, "-24.00", "card", at=at + DAY)


def a_sale(shop: Shop, by: Person) -> None:
    """12.00 at the counter, of which 2.00 went back and is owed again."""
    cable = billing.Sold("Cable", Decimal(1), eur("10.00"), Decimal(20))
    made = billing.sale_do(
        shop=shop, by=by, sold=[cable], method="cash", with_tax=False, at=IN_APRIL
    )
    billing.payment_take(
        shop=shop,
        by=by,
        invoice=made.invoice,
        amount=eur("-2.00"),
        method="cash",
        reason="typed wrong",
        at=IN_APRIL + DAY,
    )


def booked(shop: Shop) -> TrialBalance:
    return trial_balance(entries(Period(shop, date(2026, 2, 1), LAST)))


def test_books_the_aged_list_and_billing_owe_the_same(college: Customer) -> None:
    shop = college.shop
    found = open_invoices(shop)
    by_ticket = [owing.invoiced(one) - owing.paid(one) for one in shop.tickets.all()]
    alone = Invoice.objects.filter(shop=shop, ticket=None, corrects=None)
    by_paper = [owing.due_of(one) for one in alone]
    owed = sum(max(one.minor, 0) for one in (*by_ticket, *by_paper))
    assert owed == 22_00 + 30_00 + 34_00 + 18_00 + 144_80 + 2_00
    assert booked(shop).balance("EUR", Account.RECEIVABLES) == owed
    assert aged(found, LAST).total == owed
    theirs = list(open_at(college, IN_APRIL + 9 * DAY))
    assert {one.invoice.number: one.due.minor for one in theirs} == {
        one.number: one.owed for one in found if one.buyer == college.name
    }
    assert [one.due for one in theirs] == [eur("144.80")]
    ties_and_gaps(shop)


def test_what_is_not_owed_lies_where_it_should(college: Customer) -> None:
    """Revenue is that of the work; cash is the coins; credit is in no till."""
    sums = booked(college.shop)
    rows = InvoiceLine.objects.filter(invoice__shop=college.shop)
    work = rows.exclude(code="prepayment").aggregate(sum=Sum("net_minor"))["sum"]
    assert sums.balance("EUR", revenue(S20)) == -work
    assert sums.balance("EUR", advances(S20)) == -20_00  # the one that waits
    assert not sums.balance("EUR", Account.PREPAYMENTS)
    assert set(sums.of("EUR")) <= set(codes_of(college.shop))
    assert sums.balance("EUR", Account.ROUNDING) == -1
    state = till.now(college.shop)
    assert state.cash_paid == eur("18.80") + eur("42.00") + eur("10.00")
    assert sums.balance("EUR", Account.CASH) == state.expected.minor
    moved = sums.of("EUR")[Account.CREDIT]
    assert (moved.debit, moved.credit) == (8_00, 8_00)
    assert Payment.objects.filter(method="credit").count() == 2
    assert "credit" not in state.by_method
    assert "credit" not in {one.method for one in state.payments}


def ties_and_gaps(shop: Shop) -> None:
    """Every month ties, and no number is missing."""
    for month in (3, 4):
        end = date(2026, month + 1, 1) - DAY
        period = Period(shop, date(2026, month, 1), end)
        sums = trial_balance(entries(period))
        assert [one.what for one in ties(period, sums) if not one.holds] == []
        assert all(one.is_whole for one in series_of(period))
    march = Period(shop, date(2026, 3, 1), date(2026, 3, 31))
    of_advances = next(one for one in series_of(march) if one.kind == "prepayment")
    assert (of_advances.first, of_advances.last, of_advances.count) == (1, 4, 4)
    body = b"".join(bundle(march, paper=lambda row: row.number.encode()))
    with zipfile.ZipFile(io.BytesIO(body)) as archive:
        numbers = archive.read("numbers.csv").decode()
        names = archive.namelist()
    for serial in range(1, 5):
        assert f"prepayment invoice,{serial},P2026-000{serial}," in numbers
        assert f"papers/P2026-000{serial}.pdf" in names
