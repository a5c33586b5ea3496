"""The till's sums are the database's: held against the rows, added up as Decimals."""

import random
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from shop.billing.models import Payment
from shop.books import services, sheets, till
from shop.books.models import DayPayment
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person
from tests.shop.books.acts import eur

pytestmark = pytest.mark.django_db


def taken(ticket: Ticket, by: Person, minors: list[tuple[str, int]]) -> list[Payment]:
    """Written as rows: the till asks nothing of what they settle."""
    return Payment.objects.bulk_create(
        Payment(
            shop=ticket.shop,
            ticket=ticket,
            currency="EUR",
            amount_minor=minor,
            method=how,
            by=by,
            at=timezone.now() - timedelta(days=n),
        )
        for n, (how, minor) in enumerate(minors)
    )


def some(seed: int, many: int) -> list[tuple[str, int]]:
    draw = random.Random(seed)
    ways = ["cash", "card", "transfer", "credit"]
    return [(draw.choice(ways), draw.choice([-1, 1]) * 10**12 + n) for n in range(many)]


def count(ticket: Ticket, by: Person, cash: Money) -> None:
    serial = ticket.shop.cash_days.count()
    services.cash_day_end(
        shop=ticket.shop, by=by, counted=cash, after=serial, reason="drawn"
    )


def added_up(rows: list[Payment]) -> dict[str, Decimal]:
    """By hand, in the currency's own unit: a cent is a hundredth (ISO 4217)."""
    sums = dict.fromkeys(("cash", "card", "transfer"), Decimal(0))
    for row in rows:
        if row.method in sums:
            sums[row.method] += Decimal(row.amount_minor) / 100
    return sums


@pytest.mark.parametrize("seed", range(3))
def test_sums_are_those_of_the_rows_to_the_cent(
    seed: int, ticket: Ticket, tomas: Person
) -> None:
    """Beyond what a float holds; before any count and after one."""
    first = taken(ticket, tomas, some(seed, 40))
    state = till.now(ticket.shop)
    assert {how: m.amount for how, m in state.by_method.items()} == added_up(first)
    assert state.expected.amount == added_up(first)["cash"]
    count(ticket, tomas, eur("0"))
    bound = set(DayPayment.objects.values_list("payment_id", flat=True))
    assert bound == {one.pk for one in first if one.method != "credit"}
    later = taken(ticket, tomas, some(seed + 100, 25))
    state = till.now(ticket.shop)
    assert {how: m.amount for how, m in state.by_method.items()} == added_up(later)
    assert [one.pk for one in state.payments] == [
        one.pk for one in later if one.method != "credit"
    ]


def test_a_payment_committed_late_falls_in_the_next_count(
    ticket: Ticket, tomas: Person
) -> None:
    """Its number is lower than one that was counted already."""
    (first,) = taken(ticket, tomas, [("cash", 700)])
    own = {"shop": ticket.shop, "ticket": ticket, "currency": "EUR", "by": tomas}
    for pk, minor in ((first.pk + 5, 300), (first.pk + 2, 11)):
        Payment.objects.create(pk=pk, amount_minor=minor, method="cash", **own)
        if minor == 300:
            count(ticket, tomas, eur("10.00"))
    assert till.now(ticket.shop).cash_paid == eur("0.11")


def test_only_the_newest_are_listed_and_it_says_so(
    ticket: Ticket,
    tomas: Person,
    client_of: Callable[[str], Client],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(till, "SHOWN", 3)
    count(ticket, tomas, eur("1.00"))
    minors = [100 + n for n in range(5)]
    rows = taken(ticket, tomas, [("cash", minor) for minor in minors])
    taken(ticket, tomas, [("card", 900)])
    state = till.now(ticket.shop)
    shown = state.newest_payments("cash")
    assert [one.pk for one in shown.rows] == [one.pk for one in rows[2:]]
    assert (shown.many, shown.is_cut) == (5, True)
    assert not state.newest_payments("card").is_cut
    assert state.newest_payments("transfer").rows == []
    page = client_of("tomas").get("/books/till/").content.decode()
    assert "The newest 3 of 5: the sum is of all" in page
    assert "5.10" in page  # 1.00 + 1.01 + 1.02 + 1.03 + 1.04
    assert page.count("The newest") == 1
    count(ticket, tomas, eur("6.10"))
    html = sheets.day_sheet_html(ticket.shop.cash_days.latest("serial"))
    assert all(f"{minor / 100:.2f}" in html for minor in minors), "all are on the sheet"


@pytest.mark.parametrize("many", [2, 30])
def test_the_page_asks_as_often_however_many_were_taken(
    many: int, ticket: Ticket, tomas: Person, client_of: Callable[[str], Client]
) -> None:
    count(ticket, tomas, eur("0"))
    taken(ticket, tomas, [("cash", 100), ("card", 100), ("transfer", 100)] * many)
    client = client_of("tomas")
    client.get("/books/till/")
    with CaptureQueriesContext(connection) as seen:
        assert client.get("/books/till/").status_code == 200
    assert len(seen) == 16


def test_a_first_count_takes_in_more_than_one_statement_may(
    ticket: Ticket, tomas: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(services, "AT_ONCE", 4)
    rows = taken(ticket, tomas, [("cash", 1)] * 11)
    count(ticket, tomas, eur("0.11"))
    assert DayPayment.objects.count() == len(rows)
    assert till.now(ticket.shop).expected == eur("0.11")
