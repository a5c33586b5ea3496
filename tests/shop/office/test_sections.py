"""The pages of money and quality with little, odd and much: sane, and few queries."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from django.utils.translation import override

from diagnostics.models import Advice, Finding, GateOverride, Intervention
from shop.billing.models import Invoice, LabourKind, Payment, TimeEntry
from shop.intake.models import Handover, Outcome, Ticket
from shop.intake.services import ticket_open
from shop.office.asked import Asked
from shop.office.money.page import sections as money
from shop.office.quality.page import sections as quality
from shop.office.sections import Section
from shop.people.models import Person, Shop, Terms
from shop.records.cache import cache
from tests.factories import TicketFactory
from tests.samples import board_of


def asked_now() -> Asked:
    now = timezone.now() + timedelta(minutes=1)
    return Asked(now - timedelta(days=365), now, now)


def pages(shop: Shop, asked: Asked | None = None) -> dict[str, Section]:
    """Made anew: rows are made here without their events."""
    cache.clear()
    asked = asked or asked_now()
    found = [*money(shop, asked), *quality(shop, asked)]
    assert len({one.code for one in found}) == len(found)
    for one in found:
        assert one.says
        assert one.means
        assert "nan" not in one.says
    return {one.code: one for one in found}


def rows(section: Section) -> list[dict[str, Any]]:
    codes = [column.code for column in section.table.columns]
    return [dict(zip(codes, row, strict=True)) for row in section.table.rows]


def closed(
    ticket: Ticket, by: Person, *, kind: str = "fixed", days: int = 0, net: int = 0
) -> Ticket:
    """Closed so many days ago, as rows alone: worked on for an hour, and billed."""
    at = timezone.now() - timedelta(days=days)
    reason = "no_part" if kind == "no_fix" else ""
    Outcome.objects.create(ticket=ticket, kind=kind, no_fix_reason=reason, at=at)
    Handover.objects.create(ticket=ticket, at=at, given_to="Ada Pell")
    TimeEntry.objects.create(
        ticket=ticket, person=by, kind=LabourKind.REPAIR, minutes=60, started_at=at
    )
    if net:
        invoice(ticket, by, net=net, at=at)
    return ticket


def invoice(ticket: Ticket, by: Person, *, net: int, at: Any) -> Invoice:
    serial = Invoice.objects.count() + 1
    return Invoice.objects.create(
        shop=ticket.shop,
        ticket=ticket,
        number=f"T-{serial}",
        serial=serial,
        currency=ticket.currency,
        seller={},
        buyer={"name": "Ada Pell"},
        device={},
        story={},
        evidence=[],
        net_minor=net,
        tax_minor=0,
        total_minor=net,
        due_on=at.date(),
        warranty_until=at.date() + timedelta(days=90),
        by=by,
        issued_at=at,
    )


def came_back(earlier: Ticket, by: Person, days: int) -> Ticket:
    return ticket_open(
        shop=earlier.shop,
        by=by,
        device=earlier.device,
        customer=earlier.customer,
        told="Dead again.",
        intake_kind="warranty",
        returns_to=earlier,
        at=earlier.handover.at + timedelta(days=days),
    )


def advised(ticket: Ticket, by: Person, *, proven: str) -> None:
    """Said before the repair: p.cmain at 80 %; p.ec was struck by a technician."""
    board = ticket.ticket_boards.get().board
    at = ticket.handover.at
    own: dict[str, Any] = {"board": board, "ticket": ticket, "by": by}
    Advice.objects.create(
        **own,
        moment="quote_drafted",
        suspects=[
            {"part": "p.cmain", "mode": "short", "p": 0.5},
            {"part": "p.ec", "mode": "short", "p": 0.2},
            {"part": "p.cmain", "mode": "leaky", "p": 0.3},
        ],
        something_else=0.0,
        words=[{"part": "p.ec", "mode": "short", "kind": "struck", "by": by.pk}],
        reading_ids=[],
        engine_version="1",
        family_hash="",
        at=at - timedelta(hours=2),
    )
    Intervention.objects.create(
        **own, epoch=1, kind="replaced", at=at - timedelta(hours=1)
    )
    Finding.objects.create(
        **own, epoch=1, part_id=proven, mode_id="short", is_proven=True, at=at
    )


def with_cost(shop: Shop, minor: int = 3000) -> None:
    Terms.objects.filter(shop=shop).update(cost_rate_minor=minor)


@pytest.fixture
def repairs(hollin_lane: Shop, ines: Person, tomas: Person) -> list[Ticket]:
    """Four boards of one model, fixed 120 days ago and billed at 100.00 each."""
    with_cost(hollin_lane)
    found = []
    for _one in range(4):
        ticket = TicketFactory.create(by=tomas)
        board_of(ticket, ines)
        found.append(closed(ticket, ines, days=120, net=10000))
    return found


# --- little -------------------------------------------------------------------------


def test_a_shop_without_a_ticket_says_so(hollin_lane: Shop) -> None:
    found = pages(hollin_lane)
    assert found["invoiced"].says == "Nothing was invoiced or paid in this time."
    assert found["owing"].says == "Nothing is owing."
    assert found["overrides"].says == "No gate was overruled in this time."
    few = [one.code for one in found.values() if one.says.startswith("Too few yet")]
    assert set(few) >= {"quotes", "margin", "worth", "hours", "first_time", "no_fix"}
    assert all(one.drawing is None for one in found.values())


@pytest.mark.usefixtures("ticket")
def test_one_open_ticket_makes_no_number(hollin_lane: Shop) -> None:
    found = pages(hollin_lane)
    assert found["margin"].says.startswith("Too few yet")
    assert rows(found["no_fix"])[0]["percent"] is None


def test_two_closed_tickets_are_an_anecdote(
    repairs: list[Ticket], hollin_lane: Shop
) -> None:
    for one in repairs[2:]:
        Handover.objects.filter(ticket=one).update(is_undone=True)
    found = pages(hollin_lane)
    assert found["margin"].says.startswith("Too few yet")
    (row,) = rows(found["margin"])
    assert (row["tickets"], row["margin"], row["left_each"]) == (2, None, None)
    (row,) = rows(found["worth"])
    assert (row["fixed"], row["margin"], row["worth"]) == (None, None, "too few yet")
    assert rows(found["hours"])[0]["percent"] is None


# --- odd ----------------------------------------------------------------------------


def test_closed_before_it_was_opened(repairs: list[Ticket], hollin_lane: Shop) -> None:
    """A clock that went wrong: it counts, and no span of it is told."""
    Ticket.objects.filter(pk=repairs[0].pk).update(opened_at=timezone.now())
    found = pages(hollin_lane)
    assert rows(found["first_time"])[0]["counted"] == 4
    assert rows(found["margin"])[0]["tickets"] == 4


def test_a_month_without_an_invoice_is_a_row_of_nothing(
    repairs: list[Ticket], hollin_lane: Shop
) -> None:
    found = rows(pages(hollin_lane)["invoiced"])
    assert len(found) == 13
    assert [one["invoiced"] for one in found if one["invoiced"]] == [400]
    assert sum(one["invoiced"] == 0 for one in found) == 12


def test_who_left_is_still_named(
    repairs: list[Ticket], hollin_lane: Shop, ines: Person
) -> None:
    ines.memberships.all().delete()
    ines.is_active = False
    ines.save()
    told = rows(pages(hollin_lane)["hours"])
    assert {one["technician"] for one in told} == {"all", "Ines Okafor"}


@pytest.mark.parametrize("zone", ["Pacific/Auckland", "America/Los_Angeles"])
def test_another_time_zone_moves_months_and_no_sums(
    repairs: list[Ticket], hollin_lane: Shop, zone: str
) -> None:
    hollin_lane.time_zone = zone
    hollin_lane.save()
    found = pages(hollin_lane)
    assert sum(one["invoiced"] for one in rows(found["invoiced"])) == 400
    assert rows(found["first_time"])[0]["counted"] == 4


def test_another_tax_changes_no_margin(
    repairs: list[Ticket], hollin_lane: Shop
) -> None:
    before = rows(pages(hollin_lane)["margin"])
    Terms.objects.filter(shop=hollin_lane).update(tax_basis_points=700)
    assert rows(pages(hollin_lane)["margin"]) == before


def test_currencies_are_never_added_up(
    repairs: list[Ticket], hollin_lane: Shop, ines: Person, tomas: Person
) -> None:
    """The shop's former money stands by itself, and makes no margin in the new."""
    hollin_lane.currency = "NOK"
    hollin_lane.save()
    new = closed(TicketFactory.create(by=tomas), ines, days=1, net=70000)
    assert new.currency == "NOK"
    found = pages(hollin_lane)
    assert found["invoiced"].says == (
        "Invoiced 400.00\N{NO-BREAK SPACE}EUR, paid 0.00\N{NO-BREAK SPACE}EUR. "
        "Invoiced 700.00\N{NO-BREAK SPACE}NOK, paid 0.00\N{NO-BREAK SPACE}NOK."
    )
    owed = {(one["currency"], one["owed"]) for one in rows(found["owing"])}
    assert {("EUR", 400), ("NOK", 700)} <= owed
    assert sum(one["tickets"] for one in rows(found["margin"])) == 1


def test_without_a_cost_of_an_hour_no_margin_is_given(
    repairs: list[Ticket], hollin_lane: Shop
) -> None:
    Terms.objects.filter(shop=hollin_lane).update(cost_rate_minor=None)
    found = pages(hollin_lane)
    assert found["margin"].says.startswith("No margin yet")
    (row,) = rows(found["worth"])
    assert row["worth"] == "not known: no cost of an hour is set"
    assert found["costly"].table.rows == []


def test_another_shop_is_not_counted(repairs: list[Ticket], elsewhere: Person) -> None:
    member = elsewhere.memberships.first()
    assert member is not None
    found = pages(member.shop)
    assert rows(found["margin"]) == rows(found["hours"]) == []
    assert rows(found["first_time"]) == []


# --- what the sentences say ---------------------------------------------------------


def test_the_margin_of_four_boards(repairs: list[Ticket], hollin_lane: Shop) -> None:
    """Of 100.00 an hour at 30.00 leaves 70.00."""
    found = pages(hollin_lane)
    assert found["margin"].says == (
        "A closed ticket left 70.00\N{NO-BREAK SPACE}EUR on average, "
        "70\N{NO-BREAK SPACE}% of what was invoiced (4 tickets)."
    )
    assert rows(found["worth"])[0]["worth"] == "yes"
    assert rows(found["owing"])[-1]["owed"] == 400


def test_the_worst_ticket_is_named(
    repairs: list[Ticket], hollin_lane: Shop, ines: Person, tomas: Person
) -> None:
    dear = closed(TicketFactory.create(by=tomas), ines, kind="no_fix", days=2)
    found = pages(hollin_lane)
    assert found["costly"].says.startswith(f"Ticket {dear.number} cost 30.00")
    assert rows(found["lost"])[0]["no_fix"] == 1
    assert "1 of 5 closed tickets could not be mended" in found["no_fix"].says


def test_a_return_inside_its_warranty_counts_once(
    repairs: list[Ticket], hollin_lane: Shop, tomas: Person
) -> None:
    for days in (40, 60, 200):
        came_back(repairs[0], tomas, days)
    found = pages(hollin_lane)
    assert found["first_time"].says.startswith("3 of 4 repairs held")
    assert [one["counted"] for one in rows(found["returns"])] == ["no", "no", "yes"]


def test_the_young_are_drawn_open(
    repairs: list[Ticket], hollin_lane: Shop, ines: Person, tomas: Person
) -> None:
    for _one in range(3):
        closed(TicketFactory.create(by=tomas), ines, days=5, net=5000)
    found = pages(hollin_lane)
    assert "3 more are too young to tell." in found["first_time"].says
    (trend, *_more) = found["first_time"].drawing.trends  # type: ignore[union-attr]
    hollow = [dot for dot in trend.dots if dot.hollow]
    assert [(dot.n, dot.value) for dot in hollow] == [(3, 100.0)]


def test_advice_before_a_repair_is_counted(
    repairs: list[Ticket], hollin_lane: Shop, ines: Person
) -> None:
    """Three of four rightly; one had been struck by a technician and was it."""
    for n, ticket in enumerate(repairs):
        advised(ticket, ines, proven="p.ec" if n == 3 else "p.cmain")
    found = pages(hollin_lane)
    assert "the cause in 3 of 4 repairs" in found["first_suspect"].says
    (row,) = rows(found["calibration"])
    assert (row["said"], row["right"], row["percent"]) == (80.0, 3, 75.0)
    engine, struck, _added = rows(found["overturned"])
    assert (engine["overturned"], engine["of"]) == (1, 4)
    assert (struck["overturned"], struck["of"]) == (1, 4)


def test_overruled_gates_by_week(
    hollin_lane: Shop, ines: Person, ticket: Ticket
) -> None:
    board = board_of(ticket, ines)
    now = timezone.now()
    for chip in ("limited_power", "seen_on_scope"):
        GateOverride.objects.create(
            board=board,
            epoch=0,
            check_id="k20",
            gate_id="k07",
            chip=chip,
            by=ines,
            at=now - timedelta(minutes=1),
        )
    told = rows(pages(hollin_lane)["overrides"])
    assert sum(one["overrides"] for one in told) == 2
    assert (told[-1]["overrides"], told[-1]["limited"]) == (2, 1)


def test_a_deposit_is_held_until_it_is_billed(
    hollin_lane: Shop, ticket: Ticket, tomas: Person
) -> None:
    Payment.objects.create(
        shop=hollin_lane,
        ticket=ticket,
        currency="EUR",
        amount_minor=4200,
        method="card",
        by=tomas,
    )
    held = "42.00\N{NO-BREAK SPACE}EUR is held on 1 open ticket."
    assert pages(hollin_lane)["deposits"].says == held
    invoice(ticket, tomas, net=4200, at=timezone.now())
    assert pages(hollin_lane)["deposits"].says == "No deposit is held."


# --- much ---------------------------------------------------------------------------


@pytest.mark.parametrize("more", [0, 6])
def test_as_many_queries_for_many_tickets(
    repairs: list[Ticket], hollin_lane: Shop, ines: Person, tomas: Person, more: int
) -> None:
    for _one in range(more):
        ticket = TicketFactory.create(by=tomas)
        board_of(ticket, ines)
        closed(ticket, ines, days=30, net=9000)
        advised(ticket, ines, proven="p.cmain")
        came_back(ticket, tomas, 10)
    advised(repairs[0], ines, proven="p.cmain")
    came_back(repairs[0], tomas, 10)
    asked = asked_now()
    # Of the first, ten sum what jobs owe: they are carried on from then (debts.py).
    for page, most in ((money, 29), (quality, 17)):
        page(hollin_lane, asked)
        cache.clear()
        with CaptureQueriesContext(connection) as asking:
            page(hollin_lane, asked)
        assert len(asking) <= most


def test_both_pages_speak_german(repairs: list[Ticket], hollin_lane: Shop) -> None:
    with override("de"):
        found = pages(hollin_lane)
    assert {one.code for one in found.values()} == set(pages(hollin_lane))
