"""Pages that need several rooms: day list, ticket, invoice, handover."""

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from diagnostics import panels as bench_panels
from diagnostics import queries as bench
from diagnostics.models import Board
from shop.billing import panels as billing_panels
from shop.billing import queries as money
from shop.billing.estimate import panels as estimate_panels
from shop.desk import arrival, before_invoice, phoned, services, slip_panel
from shop.intake import panels as intake_panels
from shop.intake import passcode_panel
from shop.intake import queries as tickets
from shop.intake.models import Ticket
from shop.messaging import panels as messaging_panels
from shop.people.access import AUDITOR, FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.people.models import Role
from shop.photos import panels as photo_panels
from shop.printing import panels as printing_panels
from shop.records.errors import Refused
from shop.records.idempotency import once

FIRST_PAGE = (
    (Role.FRONT_DESK, "desk:day_list"),
    (Role.TECHNICIAN, "diagnostics:bench"),
    (Role.OWNER, "office:review"),
    (Role.AUDITOR, "books:books"),
)


@roles(FRONT_DESK, TECHNICIAN, OWNER, AUDITOR)
@require_GET
def home(request: AtWork) -> HttpResponse:
    page = next(page for role, page in FIRST_PAGE if role in request.held_roles)
    return redirect(page)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def ticket(request: AtWork, number: str) -> HttpResponse:
    return ticket_page(request, tickets.ticket_get(request.shop, number))


def ticket_page(
    request: AtWork, ticket: Ticket, *, refused: Refused | None = None
) -> HttpResponse:
    person = request.user
    context = acts_of(ticket, request.held_roles) | arrival.of(ticket)
    context |= {
        "ticket": ticket,
        "refused": refused,
        "beyond": _beyond(ticket) if refused is not None else None,
        "read_out": phoned.panel(ticket, request),
        "slip_link": slip_panel.panel(ticket, request),
        "turn": intake_panels.turn(ticket, person, request),
        "intake": intake_panels.panel(
            ticket, person, request, between=photo_panels.panel(ticket, request)
        ),
        "passcode": passcode_panel.panel(ticket, person, request),
        "bench": bench_panels.panel(ticket, person),
        "billing": billing_panels.panel(ticket, person, request),
        "suspected": suspected_boards(ticket),
        "estimate": estimate_panels.panel(ticket, person),
        "printing": printing_panels.panel(ticket, request),
        "messages_panel": messaging_panels.panel(ticket, request.held_roles, request),
    }
    status = 200 if refused is None else 422
    return render(request, "desk/ticket.html", context, status=status)


def suspected_boards(ticket: Ticket) -> list[Board]:
    """Boards of which a first quote may be drafted by what the bench suspects."""
    is_open = not hasattr(ticket, "outcome") and not hasattr(ticket, "handover")
    if not is_open or ticket.quotes.exists():
        return []
    return list(bench.boards_of(ticket))


def _beyond(ticket: Ticket) -> money.Agreed | None:
    """What may be billed all the same, where an invoice was refused over its cap."""
    if money.standing_invoice(ticket) is not None:
        return None
    agreed = money.agreed(ticket)
    return agreed if agreed.left.amount < 0 else None


def acts_of(ticket: Ticket, held: frozenset[Role]) -> dict[str, bool]:
    """What may be done now with the whole ticket; at most one is the main act."""
    is_counter = bool(held & {FRONT_DESK, OWNER})
    handover = getattr(ticket, "handover", None)
    is_open = handover is None
    is_monthly = money.is_billed_monthly(ticket)
    is_billed = bool(money.standing_invoice(ticket) or money.monthly_invoice(ticket))
    is_ended = hasattr(ticket, "outcome")
    return {
        "may_invoice": is_counter and is_open and not is_billed,
        "may_hand_over": is_counter and is_open and is_ended,
        "is_monthly": is_monthly,
        "is_invoice_main": is_ended and not is_billed and not is_monthly,
        "is_handover_main": is_ended and (is_billed or is_monthly),
        "is_handed_over": bool(is_counter and handover and not handover.is_undone),
    }


@roles(FRONT_DESK, OWNER)
@require_POST
@once
def invoice_issue(request: AtWork, number: str) -> HttpResponse:
    ticket = tickets.ticket_get(request.shop, number)
    try:
        with transaction.atomic():
            if not before_invoice.is_settled(request, ticket):
                return before_invoice.ask(request, ticket)
            invoice = services.invoice_issue(
                ticket=ticket,
                by=request.user,
                is_up_to_cap=request.POST.get("bill") == "up_to_cap",
            )
    except Refused as refused:
        return ticket_page(request, ticket, refused=refused)
    messages.success(
        request, _("Invoice %(number)s is issued.") % {"number": invoice.number}
    )
    return redirect(ticket)


def not_allowed(request: HttpRequest, exception: Exception) -> HttpResponse:
    return render(request, "desk/not_allowed.html", status=403)
