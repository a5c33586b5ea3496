"""The page of a board model's lore: what the bench knows, beside time and money."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET

from diagnostics import lore_page, lore_tickets
from diagnostics.lore_minutes import Minutes, minutes_of
from diagnostics.lore_tickets import Seen
from shop.billing.models import LabourKind
from shop.money import Money
from shop.office import margins
from shop.office.figures import FEWEST
from shop.office.margin import Margin
from shop.people.access import OWNER, TECHNICIAN, AtWork, roles
from shop.people.models import Shop

ByKind = Mapping[int, Mapping[str, int]]


@roles(TECHNICIAN, OWNER)
@require_GET
def lore(request: AtWork, board_model_id: int) -> HttpResponse:
    """Before a board of this model is touched, or taken in."""
    model = get_object_or_404(
        request.shop.board_models.select_related("shop"), pk=board_model_id
    )
    seen = lore_tickets.seen_of(model)
    by_kind = margins.minutes_by_kind(seen.tickets)
    context = lore_page.context_of(
        model,
        seen,
        minutes_of_people(by_kind),
        timezone.now(),
        opened=request.GET.get("stage", ""),
        is_all=request.GET.get("tickets") == "all",
    )
    context["is_technician"] = TECHNICIAN in request.held_roles
    context["time"] = time_rows(seen, by_kind)
    if OWNER in request.held_roles:
        found = margins.of_tickets(request.shop, seen.alone)
        context["margin"] = shown(request.shop, found)
    return render(request, "desk/lore.html", context)


def minutes_of_people(by_kind: ByKind) -> dict[int, int]:
    """By ticket id; soaking, drying and tests that run alone are nobody's time."""
    return {
        ticket_id: sum(m for kind, m in kinds.items() if kind != LabourKind.MACHINE)
        for ticket_id, kinds in by_kind.items()
    }


@dataclass(frozen=True)
class TimeRow:
    name: str
    minutes: Minutes
    is_total: bool = False


def time_rows(seen: Seen, by_kind: ByKind) -> list[TimeRow]:
    """Of ended tickets, how long each kind of work took, and all work of people."""
    ended = [by_kind.get(pk, {}) for pk, end in seen.alone.items() if end]
    people = minutes_of_people(dict(enumerate(ended))).values()
    each = [
        (str(kind.label), minutes_of(kinds.get(kind, 0) for kinds in ended))
        for kind in LabourKind
    ]
    rows = [TimeRow(name, minutes) for name, minutes in each if minutes]
    total = minutes_of(people)
    return [TimeRow("", total, is_total=True), *rows] if total else []


def shown(shop: Shop, margin: Margin) -> dict[str, Any]:
    """The margin in the shop's money."""

    def money(minor: int) -> Money:
        return Money.from_minor(minor, shop.currency)

    return {
        "tickets": margin.tickets,
        "is_few": margin.tickets < FEWEST,
        "percent": margin.percent,
        "invoiced": money(margin.invoiced),
        "parts": money(margin.parts),
        "minutes": margin.minutes,
        "labour": None if margin.labour is None else money(margin.labour),
        "left": money(margin.left),
    }
