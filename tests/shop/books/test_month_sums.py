"""Kept sums of months beside the journal itself, summed anew."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from shop.books import month_sums
from shop.books.balance import TrialBalance, trial_balance
from shop.books.journal import entries
from shop.books.month_sums import months_sum, sums_of
from shop.books.periods import Period
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from tests.factories import TicketFactory
from tests.shop.books.acts import billed, pay

ClientOf = Callable[[str], Client]
FAR = 1000  # months


def anew(period: Period) -> TrialBalance:
    return trial_balance(entries(period))


def year_until_today(shop: Shop) -> Period:
    today = timezone.localdate(timezone=shop.zone)
    return Period(shop, today - timedelta(days=380), today)


@pytest.mark.one_database
def test_a_told_year_is_the_sum_of_its_months(
    told_year: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = told_year
    year = year_until_today(shop)
    expected = anew(year)
    assert expected.total.debit > 0
    assert sums_of(year) == expected  # nothing is kept yet
    assert months_sum(shop, timezone.now(), most=5) == 5
    assert sums_of(year) == expected
    assert 5 < months_sum(shop, timezone.now(), most=FAR) < 14
    assert months_sum(shop, timezone.now(), most=FAR) == 0
    assert sums_of(year) == expected
    for days in (17, 45, 120, 333):
        part = Period(shop, year.last - timedelta(days=days), year.last)
        assert sums_of(part) == anew(part)
    whole = Period(shop, year.first.replace(day=1), year.last.replace(day=1))
    monkeypatch.setattr(month_sums, "MOST", 30)
    assert sums_of(whole) == anew(whole)  # but for a day, all of it is kept
    monkeypatch.setattr(month_sums, "_kept", lambda shop: {})
    assert sums_of(whole) is None


@pytest.fixture
def two_months_ago(ticket: Ticket, tomas: Person) -> date:
    at = timezone.now() - timedelta(days=62)
    old = TicketFactory.create(by=tomas, at=at)
    billed(old, tomas, at=at)
    pay(old, tomas, "42.00", at=at)
    return at.date()


@pytest.mark.django_db
def test_a_row_that_lies_back_takes_its_month_and_those_after_it_away(
    two_months_ago: date, tomas: Person, hollin_lane: Shop
) -> None:
    """What a job paid before decides how what it pays later is booked."""
    assert months_sum(hollin_lane, timezone.now(), most=FAR) >= 1
    before = set(month_sums._kept(hollin_lane))
    pay(TicketFactory.create(by=tomas), tomas, "5.00")  # today: no month that is over
    assert set(month_sums._kept(hollin_lane)) == before
    at = timezone.now() - timedelta(days=62)
    pay(TicketFactory.create(by=tomas, at=at), tomas, "1.00", at=at)
    kept = set(month_sums._kept(hollin_lane))
    assert (two_months_ago.year, two_months_ago.month) in before - kept
    assert kept == {one for one in before if one < (at.year, at.month)}
    period = year_until_today(hollin_lane)
    assert sums_of(period) == anew(period)
    months_sum(hollin_lane, timezone.now(), most=FAR)
    assert set(month_sums._kept(hollin_lane)) == before
    assert sums_of(period) == anew(period)


@pytest.mark.django_db
def test_a_month_is_summed_when_it_is_over(
    two_months_ago: date, hollin_lane: Shop
) -> None:
    last = month_sums._last_of(two_months_ago)
    end = Period(hollin_lane, last, last).end
    assert months_sum(hollin_lane, end + timedelta(hours=5), most=FAR) == 0
    assert months_sum(hollin_lane, end + timedelta(hours=7), most=FAR) == 1


@pytest.mark.django_db
def test_a_page_of_many_months_reads_no_row_of_them(
    two_months_ago: date, hollin_lane: Shop
) -> None:
    months_sum(hollin_lane, timezone.now(), most=FAR)
    first = two_months_ago.replace(day=1)
    period = Period(hollin_lane, first, month_sums._last_of(first))
    assert sums_of(period) == anew(period)
    with CaptureQueriesContext(connection) as asked:
        sums_of(period)
    assert len(asked) == len(month_sums.SOURCES)


@pytest.mark.django_db
def test_what_nobody_could_wait_for_is_said(
    two_months_ago: date, client_of: ClientOf, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(month_sums, "MOST", 1)
    owner = client_of("marit")
    asked = {"first": two_months_ago.isoformat(), "last": two_months_ago.isoformat()}
    page = owner.get("/books/", asked).content.decode()
    assert "too much to add up while you wait" in page
    assert "/books/journal.csv" in page
    monkeypatch.undo()
    page = owner.get("/books/", asked).content.decode()
    assert "too much" not in page
    assert "42.00" in page
