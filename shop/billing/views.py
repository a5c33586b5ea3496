"""Pages and acts about money: traffic only."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from shop.billing import beyond, likely, papers, queries, receipts, services
from shop.billing.forms import (
    OrderForm,
    PartForm,
    PaymentForm,
    TimeForm,
)
from shop.billing.models import Invoice, TimeEntry
from shop.billing.place import at_invoice
from shop.intake.forms_shown import typed
from shop.intake.models import Ticket
from shop.intake.pages import act_button, act_page, paper
from shop.intake.place import at_ticket
from shop.people.access import AUDITOR, FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.printing.services import Order, print_ask
from shop.records.idempotency import once


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
@at_ticket
def work(request: AtWork, ticket: Ticket) -> HttpResponse:
    """All time and parts of a ticket, each with the way to take it back."""
    context = queries.work_of(ticket) | {
        "ticket": ticket,
        "may_work": bool(request.held_roles & {TECHNICIAN, OWNER}),
        "take_back": _("Take back"),
        "arrived": _("It is here"),
        "dead": _("Wrong or dead"),
    }
    return render(request, "billing/work.html", context)


@roles(TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@at_ticket
@once
def time_record(request: AtWork, ticket: Ticket) -> HttpResponse:
    form = TimeForm(typed(request))
    return act_page(
        request,
        ticket,
        form,
        gettext_lazy("Record time"),
        lambda: time_kept(request, ticket, form.cleaned_data),
        button=gettext_lazy("Record time"),
    )


def time_kept(request: AtWork, ticket: Ticket, said: dict[str, Any]) -> TimeEntry:
    """Minutes are kept whatever was agreed; beyond it, that is said."""
    entry = services.time_record(
        ticket=ticket, by=request.user, person=request.user, **said
    )
    if warning := beyond.said_of_time(ticket):
        messages.warning(request, warning)
    return entry


@roles(TECHNICIAN, OWNER)
@require_POST
@at_ticket
@once
def time_reverse(request: AtWork, ticket: Ticket, entry_id: int) -> HttpResponse:
    entry = get_object_or_404(ticket.time_entries, pk=entry_id)
    return act_button(
        request, ticket, lambda: services.time_reverse(entry=entry, by=request.user)
    )


@roles(TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@at_ticket
@once
def part_use(request: AtWork, ticket: Ticket) -> HttpResponse:
    items = queries.stock_of(request.shop)
    form = PartForm(
        typed(request),
        items=items,
        shelf=likely.sorted_for(ticket, items),
        currency=ticket.currency,
        initial=salvaged(request),
    )
    return act_page(
        request,
        ticket,
        form,
        gettext_lazy("Part used"),
        lambda: services.part_use(ticket=ticket, by=request.user, **form.part()),
        button=gettext_lazy("Part used"),
        template="billing/part_use.html",
    )


def salvaged(request: AtWork) -> dict[str, Any]:
    """What a donor's list or the shelf says of the part that was followed to here."""
    asked = request.GET
    if not asked.get("is_salvaged"):
        return {"item": asked.get("item", "")[:18]}
    return {
        "name": asked.get("name", "")[:120],
        "part_id": asked.get("part_id", "")[:40],
        "is_salvaged": True,
    }


@roles(TECHNICIAN, OWNER)
@require_POST
@at_ticket
@once
def part_return(request: AtWork, ticket: Ticket, use_id: int) -> HttpResponse:
    use = get_object_or_404(ticket.part_uses, pk=use_id)
    return act_button(
        request, ticket, lambda: services.part_return(use=use, by=request.user)
    )


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@at_ticket
@once
def part_order(request: AtWork, ticket: Ticket) -> HttpResponse:
    form = OrderForm(typed(request), currency=ticket.currency)
    return act_page(
        request,
        ticket,
        form,
        gettext_lazy("Order a part"),
        lambda: services.part_order(
            ticket=ticket, by=request.user, **form.cleaned_data
        ),
        button=gettext_lazy("Order a part"),
    )


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@at_ticket
@once
def part_arrive(request: AtWork, ticket: Ticket, line_id: int) -> HttpResponse:
    line = get_object_or_404(ticket.order_lines, pk=line_id)
    return act_button(
        request, ticket, lambda: services.part_arrive(order_line=line, by=request.user)
    )


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@at_ticket
@once
def payment_take(request: AtWork, ticket: Ticket) -> HttpResponse:
    due = queries.balance(ticket).due
    form = PaymentForm(
        typed(request), initial={"amount": due}, currency=ticket.currency
    )
    return act_page(
        request,
        ticket,
        form,
        gettext_lazy("Take a payment"),
        lambda: services.payment_take(
            shop=request.shop, ticket=ticket, by=request.user, **form.cleaned_data
        ),
        button=gettext_lazy("Take a payment"),
    )


@roles(FRONT_DESK, OWNER)
@require_GET
@at_ticket
def receipt(request: AtWork, ticket: Ticket, payment_id: int) -> HttpResponse:
    payment = get_object_or_404(ticket.payments, pk=payment_id)
    return paper(
        receipts.receipt(payment).body, f"receipt-{ticket.number}-{payment.pk}"
    )


@roles(FRONT_DESK, OWNER)
@require_POST
@at_ticket
@once
def receipt_print(request: AtWork, ticket: Ticket, payment_id: int) -> HttpResponse:
    """Queue the receipt at this station's printer, or show it to be printed."""
    payment = get_object_or_404(ticket.payments, pk=payment_id)
    order = Order("receipt", payment.pk, ticket_id=ticket.pk)
    if print_ask(station=request.station, by=request.user, orders=[order]):
        return redirect(ticket)
    return redirect("billing:receipt", ticket.number, payment.pk)


@roles(FRONT_DESK, TECHNICIAN, OWNER, AUDITOR)
@require_GET
@at_invoice
def invoice_pdf(request: AtWork, invoice: Invoice) -> HttpResponse:
    return paper(papers.invoice_pdf(invoice), f"{invoice.kind}-{invoice.number}")
