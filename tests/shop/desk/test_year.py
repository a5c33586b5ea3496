"""The demo's whole year: every list has something to show, in the order of time."""

from collections import Counter

import pytest
from django.utils import timezone

from diagnostics.models import Finding
from shop.billing.models import Invoice, Quote
from shop.desk.day import day_list
from shop.desk.management.commands.demo import SCENARIO, YEAR
from shop.desk.scenario import tell
from shop.intake import arriving, cover
from shop.intake import queries as intake
from shop.intake.models import ClosingKind, IntakeKind, Outcome, Ticket
from shop.office.acting.lists import Code, lists
from shop.people.models import Shop
from tests.shop.office import test_against_rows


@pytest.mark.one_database
@pytest.mark.django_db
def test_the_year_makes_every_list_alive() -> None:
    """One telling for all that is asked of it: it takes a while."""
    now = timezone.now()
    shop = tell(SCENARIO, *YEAR, now=now)
    tickets = list(Ticket.objects.order_by("id"))
    opened = [ticket.opened_at for ticket in tickets]
    assert len(tickets) >= 40
    assert opened == sorted(opened), "numbers run with the days"
    assert (now - opened[0]).days > 300
    assert {ticket.intake_kind for ticket in tickets} == set(IntakeKind.values)
    the_day(shop)
    the_money(shop)
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


def the_office(shop: Shop) -> None:
    """Every list has its rows, but for work on no invoice: this shop bills it all."""
    now = timezone.now()
    of = lists(shop, now).of
    assert [code for code in Code if not of[code]] == [Code.UNBILLED]
    test_against_rows.holds(shop, test_against_rows.a_year(now))
