"""The slip link on the ticket page: until when it opens, who looked, and its acts."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from shop.desk.slip_looks import last_look
from shop.desk.slip_page import page_of
from shop.intake import queries as tickets
from shop.intake import slip_links
from shop.intake.models import Ticket
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.records.idempotency import once


def panel(ticket: Ticket, request: AtWork) -> SafeString:
    link = slip_links.to_print(ticket, timezone.now())
    context = {
        "ticket": ticket,
        "link": link,
        "address": slip_links.printed(link) if link else "",
        "reaches_phones": slip_links.reaches_phones(),
        "last_look": last_look(ticket),
        "may_change": bool(request.held_roles & {FRONT_DESK, OWNER}),
    }
    return render_to_string("desk/_slip_link.html", context, request=request)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def preview(request: AtWork, number: str) -> HttpResponse:
    """As the customer sees it; answers nothing, and is no look of the customer's."""
    ticket = tickets.ticket_get(request.shop, number)
    link = slip_links.to_print(ticket, timezone.now())
    with translation.override(ticket.customer.language):
        context = page_of(ticket, timezone.now()) | {
            "is_preview": True,
            "until": link.expires_at if link else None,
        }
        page = render_to_string("slip/_page.html", context)
    context = {"ticket": ticket, "page": page, "language": ticket.customer.language}
    return render(request, "desk/slip_preview.html", context)


@roles(FRONT_DESK, OWNER)
@require_POST
@once
def renew(request: AtWork, number: str) -> HttpResponse:
    ticket = tickets.ticket_get(request.shop, number)
    slip_links.renew(ticket=ticket, by=request.user)
    messages.success(
        request, _("There is a new slip link. Every older one opens nothing now.")
    )
    return redirect(ticket)


@roles(FRONT_DESK, OWNER)
@require_POST
@once
def revoke(request: AtWork, number: str) -> HttpResponse:
    ticket = tickets.ticket_get(request.shop, number)
    slip_links.revoke(ticket=ticket, by=request.user)
    messages.success(request, _("The slip link opens nothing any more."))
    return redirect(ticket)
