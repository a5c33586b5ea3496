"""Deposits for loan devices: expected at the day end, a liability, and both tie."""

from collections.abc import Callable
from datetime import datetime, timedelta
from importlib import import_module

import pytest
from django.apps import apps
from django.db import DatabaseError, transaction
from django.test import Client
from django.utils import timezone

from shop.billing.loan_models import Loan
from shop.billing.loans import services as loans
from shop.books import services, sheets, till
from shop.books.balance import TrialBalance, trial_balance
from shop.books.bundle.checks import ties
from shop.books.journal import entries
from shop.books.models import CashDay, DayDeposit
from shop.books.periods import Period
from shop.books.posting.accounts import Account
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from tests.shop.books.acts import eur, pay

pytestmark = pytest.mark.django_db


def counted(shop: Shop, by: Person, amount: str, reason: str = "") -> CashDay:
    return services.cash_day_end(
        shop=shop,
        by=by,
        counted=eur(amount),
        after=shop.cash_days.count(),
        reason=reason,
    )


def lent(
    ticket: Ticket,
    by: Person,
    deposit: str,
    method: str = "cash",
    at: datetime | None = None,
) -> Loan:
    name = f"Loan laptop {ticket.shop.loan_devices.count() + 1}"
    device = loans.loan_device_keep(shop=ticket.shop, name=name)
    return loans.loan_give(
        ticket=ticket,
        device=device,
        by=by,
        deposit=eur(deposit),
        deposit_method=method,
        at=at,
    )


def month_of(shop: Shop) -> Period:
    today = timezone.now().astimezone(shop.zone).date()
    return Period(shop, today - timedelta(days=20), today)


def balances(sums: TrialBalance, *accounts: str) -> list[int]:
    return [sums.balance("EUR", account) for account in accounts]


def test_the_till_expects_a_deposit_until_it_is_given_back(
    ticket: Ticket, tomas: Person
) -> None:
    """By hand: 100.00 carried, 50.00 left, 30.00 of it back, 12.00 paid: 132.00."""
    shop = ticket.shop
    counted(shop, tomas, "100.00")
    loan = lent(ticket, tomas, "50.00")
    assert till.now(shop).expected == eur("150.00")
    day = counted(shop, tomas, "150.00")
    assert not till.now(shop).deposits
    pay(ticket, tomas, "12.00")
    loans.loan_take_back(
        loan=loan, by=tomas, deposit_back=eur("30.00"), state="Scratched."
    )
    assert till.now(shop).expected == eur("132.00")
    with pytest.raises(Refused, match=r"There should be 132\.00"):
        counted(shop, tomas, "162.00")
    last = counted(shop, tomas, "132.00")
    assert "Deposit for Loan laptop 1" in sheets.day_sheet_html(last)
    assert [one.amount for one in till.of_day(day).deposits] == [eur("50.00")]
    assert [one.amount for one in till.of_day(last).deposits] == [eur("-30.00")]


def test_journal_and_till_tie_and_what_is_kept_is_no_liability(
    ticket: Ticket, tomas: Person
) -> None:
    """50.00 cash of which 20.00 is kept; 80.00 by card and still out."""
    shop = ticket.shop
    counted(shop, tomas, "100.00")
    loan = lent(ticket, tomas, "50.00")
    lent(ticket, tomas, "80.00", "card")
    loans.loan_take_back(
        loan=loan, by=tomas, deposit_back=eur("30.00"), state="Scratched."
    )
    assert till.now(shop).expected == eur("120.00")
    counted(shop, tomas, "120.00")
    period = month_of(shop)
    sums = trial_balance(entries(period))
    assert balances(
        sums,
        Account.CASH,
        Account.CARDS,
        Account.LOAN_DEPOSITS,
        Account.DEPOSITS_KEPT,
    ) == [12000, 8000, -8000, -2000]
    assert all(tie.holds for tie in ties(period, sums))


def test_a_deposit_is_paid_in_money_not_by_credit(
    ticket: Ticket, tomas: Person
) -> None:
    with pytest.raises(Refused, match="how the deposit was paid"):
        lent(ticket, tomas, "50.00", "credit")


def test_which_day_took_it_in_is_never_changed(ticket: Ticket, tomas: Person) -> None:
    lent(ticket, tomas, "50.00")
    counted(ticket.shop, tomas, "50.00")
    row = DayDeposit.objects.get()
    with pytest.raises(DatabaseError), transaction.atomic():
        row.delete()


def test_what_was_counted_before_tills_knew_of_it_is_expected_by_none(
    ticket: Ticket, tomas: Person
) -> None:
    """It had been a difference of the count; given back it is one the other way."""
    shop = ticket.shop
    counted(shop, tomas, "100.00")
    before = timezone.now() - timedelta(days=2)
    old = lent(ticket, tomas, "50.00", at=before)
    move = import_module("shop.books.migrations.0004_deposits_counted_before")
    move.counted_before(apps, None)
    assert till.now(shop).expected == eur("100.00")
    loans.loan_take_back(loan=old, by=tomas)
    assert till.now(shop).expected == eur("50.00")
    counted(shop, tomas, "50.00")
    period = month_of(shop)
    sums = trial_balance(entries(period))
    assert balances(sums, Account.LOAN_DEPOSITS, Account.CASH_DIFFERENCES) == [0, 5000]
    assert all(tie.holds for tie in ties(period, sums))


def test_the_pages_name_the_deposits(
    ticket: Ticket, tomas: Person, client_of: Callable[[str], Client]
) -> None:
    counted(ticket.shop, tomas, "100.00")
    lent(ticket, tomas, "50.00")
    desk = client_of("tomas")
    assert "Deposits for loan devices" in desk.get("/books/till/").content.decode()
    page = desk.get("/books/till/end/").content.decode()
    assert "150.00 EUR" in page
