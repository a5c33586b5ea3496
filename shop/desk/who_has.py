"""Who has this part: the shelf and the donors, in one answer."""

from dataclasses import dataclass

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from diagnostics import donors
from shop.billing.shelf import arriving, listing
from shop.intake import numbers
from shop.intake import queries as intake
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles

MOST = 40


@dataclass(frozen=True)
class Asked:
    """What is looked for: words of a name, a code, or a kind of part."""

    text: str
    ticket_number: str


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def who_has(request: AtWork) -> HttpResponse:
    """The shelf first, then what is coming, then donors; without words all donors."""
    asked = Asked(
        request.GET.get("q", "").strip()[:80],
        numbers.compact(request.GET.get("ticket", "")[:40]),
    )
    shop = request.shop
    ticket = intake.ticket_numbered(shop, asked.ticket_number)
    items = listing.found(shop, asked.text)[:MOST] if asked.text else []
    rows = listing.rows_of(shop, items, timezone.now())
    context = {
        "asked": asked,
        "ticket": ticket,
        "here": [row for row in rows if row.item.on_hand],
        "not_here": [row for row in rows if not row.item.on_hand],
        "coming": [
            line
            for line in (arriving.meant(shop, asked.text) if asked.text else [])
            if line.ticket_id is None or line.ticket == ticket
        ],
        "offers": donors.who_has(shop, asked.text),
        "donors": [] if asked.text else donors.donors_of(donors.rows(shop)),
        "may_donors": bool(request.held_roles & {TECHNICIAN, OWNER}),
        "is_technician": TECHNICIAN in request.held_roles,
    }
    return render(request, "desk/who_has.html", context)
