"""The one search: a page, and its first hits while somebody types."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_GET

from shop.intake import outage, scans, slip_links
from shop.intake.scans import What
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.people.models import Shop
from shop.searching import asking, pace, queries

MOST_LIVE = 8
SHORTEST_LIVE = 2


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def find(request: AtWork) -> HttpResponse:
    """What is found; a whole number, a scan and a lone hit lead straight on."""
    typed = request.GET.get("q", "").strip()[: asking.LONGEST]
    if (leads_to := _scanned(request.shop, typed)) is not None:
        return redirect(leads_to)
    if (slip := outage.slip_numbered(request.shop, typed)) and not slip.ticket_id:
        return redirect(slip)
    context = _context(request, typed, queries.MOST_SHOWN)
    if context["answer"] and (only := context["answer"].only):
        return redirect(only)
    return render(request, "searching/find.html", context)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def live(request: AtWork) -> HttpResponse:
    """The first hits under the field; nothing for what says too little yet."""
    typed = request.GET.get("q", "").strip()[: asking.LONGEST]
    if len(typed) < SHORTEST_LIVE or scans.read(typed).what == What.BADGE:
        return HttpResponse()
    context = _context(request, typed, MOST_LIVE)
    return render(request, "searching/_live.html", context)


def _context(request: AtWork, typed: str, most: int) -> dict[str, Any]:
    """The answer, or ``None`` for somebody who asks faster than anybody types."""
    is_whole = queries.ticket_numbered(request.shop, typed) is not None
    if not is_whole and not pace.may_ask(request.user.pk):
        return {"asked": typed, "find_typed": typed, "answer": None}
    return {
        "asked": typed,
        "find_typed": typed,
        "answer": queries.find(request.shop, typed, most),
        "slips": outage.slips_meant(request.shop, typed),
    }


def _scanned(shop: Shop, typed: str) -> str | None:
    """Where a code of ours leads that was scanned into the search field.

    A bare number is searched for as ever; a badge stands in no address. With script a
    slip's code comes by ``intake:scan_slip`` and stands in none either.
    """
    read = scans.read(typed)
    if read.what == What.BADGE:
        return reverse("intake:scan")
    if ticket := slip_links.ticket_of(shop, typed):
        return ticket.get_absolute_url()
    if typed.isdigit() or read.what in {What.PART, What.OTHER}:
        return None
    return f"{reverse('intake:scan')}?{urlencode({'code': typed})}"
