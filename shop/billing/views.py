"""Pages and acts about money: traffic only."""

from typing import Any

from django.forms import BaseFormSet
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from shop.billing import drafts, papers, queries, receipts, services
from shop.billing.forms import (
    LONGEST_RISK,
    AnswerForm,
    LineForm,
    LineFormSet,
    OrderForm,
    PartForm,
    PaymentForm,
    QuoteForm,
    TimeForm,
    initial_of,
)
from shop.billing.models import Invoice, Quote, QuoteAnswer
from shop.billing.place import at_invoice
from shop.intake.forms_shown import done, typed
from shop.intake.models import Ticket
from shop.intake.pages import act_button, act_page, paper
from shop.intake.place import at_ticket
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.people.models import TextKind
from shop.people.texts import in_force
from shop.printing.services import Order, print_ask
from shop.records.idempotency import once


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@at_ticket
@once
def quote_new(request: AtWork, ticket: Ticket) -> HttpResponse:
    texts = in_force(ticket.shop, timezone.now(), ticket.customer.language)
    risk = texts.get(TextKind.QUOTE_RISK, "")[:LONGEST_RISK]
    kept = drafts.draft_of(ticket)
    initial = {"risk": risk, "cause": kept.cause if kept else ""}
    form = QuoteForm(typed(request), currency=ticket.currency, initial=initial)
    drafted = None if form.is_bound else initial_of(drafts.first_lines(ticket))
    rows = LineFormSet(typed(request), initial=drafted, prefix="line")
    is_valid = form.is_bound and form.is_valid() & rows.is_valid()
    if is_valid and done(form, lambda: sending(request, ticket, form, rows)):
        return redirect(ticket)
    context = {"ticket": ticket, "form": form, "rows": rows}
    status = 422 if form.is_bound else 200
    return render(request, "billing/quote_new.html", context, status=status)


def sending(
    request: AtWork, ticket: Ticket, form: QuoteForm, rows: "BaseFormSet[LineForm]"
) -> Quote:
    tax_percent = queries.tax_percent_now(ticket)
    lines = [
        row.line(ticket.currency, tax_percent)
        for row in rows
        if row.has_changed() and row not in rows.deleted_forms
    ]
    return services.quote_send(
        ticket=ticket, by=request.user, lines=lines, **form.cleaned_data
    )


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
@at_ticket
def quote(request: AtWork, ticket: Ticket, version: int) -> HttpResponse:
    sent = queries.quote_get(ticket, version)
    form = AnswerForm(initial={"answered_by": ticket.customer.name})
    return quote_page(request, ticket, sent, form)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@at_ticket
@once
def quote_answer(request: AtWork, ticket: Ticket, version: int) -> HttpResponse:
    sent = queries.quote_get(ticket, version)
    form = AnswerForm(request.POST)
    is_valid = form.is_valid()
    if is_valid and done(form, lambda: answering(request, sent, form.cleaned_data)):
        return redirect(ticket)
    return quote_page(request, ticket, queries.quote_get(ticket, version), form)


def answering(request: AtWork, sent: Quote, said: dict[str, str]) -> QuoteAnswer:
    return services.quote_answer(
        quote=sent,
        is_yes=said["is_yes"] == "yes",
        answered_by=said["answered_by"],
        channel=said["channel"],
        decline_reason=said["decline_reason"],
        recorded_by=request.user,
    )


def quote_page(
    request: AtWork, ticket: Ticket, sent: Quote, form: AnswerForm
) -> HttpResponse:
    context = {
        "ticket": ticket,
        "quote": sent,
        "answer": getattr(sent, "answer", None),
        "is_newest": sent == queries.quote_state(ticket).newest,
        "form": form,
    }
    status = 422 if form.is_bound else 200
    return render(request, "billing/quote.html", context, status=status)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
@at_ticket
def quote_pdf(request: AtWork, ticket: Ticket, version: int) -> HttpResponse:
    sent = queries.quote_get(ticket, version)
    return paper(papers.quote_pdf(sent), f"quote-{ticket.number}-{sent.version}")


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
        lambda: services.time_record(
            ticket=ticket, by=request.user, person=request.user, **form.cleaned_data
        ),
        button=gettext_lazy("Record time"),
    )


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
        typed(request), items=items, currency=ticket.currency, initial=salvaged(request)
    )
    return act_page(
        request,
        ticket,
        form,
        gettext_lazy("Part used"),
        lambda: services.part_use(ticket=ticket, by=request.user, **form.part()),
        button=gettext_lazy("Part used"),
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


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
@at_invoice
def invoice_pdf(request: AtWork, invoice: Invoice) -> HttpResponse:
    return paper(papers.invoice_pdf(invoice), f"{invoice.kind}-{invoice.number}")
