"""The demo's whole year: every list has something to show, in the order of time."""

from collections import Counter
from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics.models import Finding
from shop.billing import owing, queries
from shop.billing.accounts.draft import to_be_billed
from shop.billing.loan_models import Loan
from shop.billing.models import Invoice, Payment, Quote
from shop.billing.rates.free import Free, free_because
from shop.billing.shelf_models import Claim, StockCount, StockLot
from shop.books.balance import trial_balance
from shop.books.bundle.checks import series_of, ties
from shop.books.journal import entries
from shop.books.models import PaymentReminder
from shop.books.periods import Period
from shop.desk.day import day_list
from shop.intake import arriving, cover
from shop.intake import queries as intake
from shop.intake.models import ClosingKind, IntakeKind, Outcome, Ticket
from shop.office.acting.lists import Code, lists
from shop.people.models import Shop
from tests.shop.office import test_against_rows


@pytest.mark.one_database
def test_the_year_makes_every_list_alive(told_year: Shop) -> None:
    now, shop = timezone.now(), told_year
    tickets = list(Ticket.objects.order_by("id"))
    opened = [ticket.opened_at for ticket in tickets]
    assert len(tickets) >= 40
    assert opened == sorted(opened), "numbers run with the days"
    assert (now - opened[0]).days > 300
    assert {ticket.intake_kind for ticket in tickets} == set(IntakeKind.values)
    the_day(shop)
    the_money(shop)
    the_account(shop)
    the_papers(shop)
    the_shelf_and_till(shop)
    the_books(shop)
    the_lore(shop)
    the_warranty(tickets)
    the_office(shop)


def the_day(shop: Shop) -> None:
    now = timezone.now()
    day = day_list(shop, now)
    turns = intake.turns_of(intake.tickets_open(shop), now).values()
    assert {turn.whose for turn in turns} == {
        "ours",
        "customer",
        "supplier",
        "handover",
    }
    tickets = list(Ticket.objects.select_related("handover"))
    folded = intake.turns_of(tickets, now).items()
    assert intake.whose_turns(tickets, now) == {pk: one.whose for pk, one in folded}
    assert {turn.part for turn in turns if turn.whose == "ours"} >= {"queue", "parked"}
    rows = [row for group in day.groups for row in group.rows]
    assert any(row.is_late for row in rows)
    assert any(row.is_silent for row in rows)
    assert any(row.part_late_by for row in rows)
    assert day.to_finish
    assert day.to_unpack


def the_money(shop: Shop) -> None:
    invoices = Invoice.objects.filter(shop=shop)
    assert len({row.issued_at.month for row in invoices}) >= 9
    assert invoices.filter(kind=Invoice.Kind.CREDIT_NOTE).exists()
    assert Quote.objects.filter(version=2).exists()
    ended = set(Outcome.objects.values_list("kind", flat=True))
    assert ended >= {
        ClosingKind.FIXED,
        ClosingKind.DECLINED,
        ClosingKind.NO_FIX,
        ClosingKind.NO_FAULT_FOUND,
        ClosingKind.DATA_HANDED_OVER,
    }


def the_account(shop: Shop) -> None:
    """Two months billed, one of them paid; reckoned by hand from the fixture's figures.

    Three fees of 28.00; 60, 45 and 75 minutes at 54.00; parts of 9.60, 6.90 and 3.20
    with 25 %; consumables of 4.00; 5 % off all but the fees.
    """
    customer = shop.customers.get(is_account=True)
    first, second = Invoice.objects.filter(account__customer=customer)
    assert str(first.net) == "272.69"
    assert owing.paid_on(first) == first.total
    assert not owing.paid_on(second)
    assert [paper.billed_tickets.count() for paper in (first, second)] == [3, 3]
    assert len(to_be_billed(customer)) == 1
    assert any(one.customer == customer for one in intake.tickets_open(shop))


def the_papers(shop: Shop) -> None:
    """Every kind of paper about money, and what stands on it."""
    papers = Invoice.objects.filter(shop=shop)
    codes = set(papers.values_list("lines__code", flat=True))
    assert {"express", "sale", "account_discount", "prepayment"} <= codes
    assert any(str(code).startswith("fixed_job.") for code in codes)
    assert papers.filter(kind=Invoice.Kind.PREPAYMENT).exists()
    part = papers.get(is_partial=True)
    assert str(part.total) == "−18.00", "15.00 net and 20 % of it"
    back = Payment.objects.filter(ticket=part.ticket, amount_minor__lt=0)
    assert [row.back_reason for row in back] == ["Part of the price, for a scratch"]
    free = Ticket.objects.filter(invoices__total_minor=0, invoices__corrects=None)
    assert {free_because(ticket) for ticket in free} == {Free.GOODWILL}
    options = Quote.objects.exclude(option="")
    assert [row.option for row in options.filter(answer__is_yes=True)] == ["B"]
    assert options.filter(ticket__handover=None).count() == 2, "one asks still"
    assert PaymentReminder.objects.exists()


def the_shelf_and_till(shop: Shop) -> None:
    ends = set(Claim.objects.values_list("kind", "end__how"))
    assert ends == {("dead", "replaced"), ("dead", None)}
    counts = StockCount.objects.all()
    assert counts.filter(move=None).exists()
    assert {row.reason for row in counts.exclude(move=None)} >= {"lost", "found"}
    assert StockLot.objects.filter(item__shop=shop).exclude(origin="").count() == 2
    assert Loan.objects.filter(back=None).count() == 1
    assert Loan.objects.exclude(back=None).count() == 1
    differing = [day for day in shop.cash_days.all() if day.difference_minor]
    assert [(day.difference_minor, bool(day.reason)) for day in differing] == [
        (-200, True)
    ]


def the_books(shop: Shop) -> None:
    """Debit is credit, and the journal's accounts are what the rows say."""
    today = timezone.localdate(timezone=shop.zone)
    period = Period(shop, today - timedelta(days=366), today)
    sums = trial_balance(entries(period))
    assert sums.total.debit == sums.total.credit > 0
    assert [tie.what for tie in ties(period, sums) if not tie.holds] == []
    assert [one.gaps for one in series_of(period) if not one.is_whole] == []


def the_lore(shop: Shop) -> None:
    """The same part on one board model again and again, on four models at least."""
    proven = Finding.objects.filter(is_proven=True).select_related("board")
    found = Counter((one.board.board_model_id, one.part_id) for one in proven)
    assert len({model for (model, _part), count in found.items() if count >= 2}) >= 4
    assert max(found.values()) >= 5
    references = shop.boards.exclude(origin="customer")
    assert references.count() >= 8


def the_warranty(tickets: list[Ticket]) -> None:
    decided = [cover.decision_of(ticket) for ticket in tickets if ticket.is_warranty]
    words = {one.is_covered if one else None for one in decided}
    assert words == {True, False, None}
    groups = [arriving.group_of(one) for one in tickets if one.came_with]
    assert groups
    assert min(len(group) for group in groups) >= 3
    (free,) = [ticket for ticket in tickets if cover.is_covered(ticket)]
    assert free.time_entries.exists()
    assert queries.balance(free).due.amount == 0


def the_office(shop: Shop) -> None:
    """Every list has its rows, but for work on no invoice: this shop bills it all."""
    now = timezone.now()
    of = lists(shop, now).of
    assert [code for code in Code if not of[code]] == [Code.UNBILLED]
    test_against_rows.holds(shop, test_against_rows.a_year(now))
