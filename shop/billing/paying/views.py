"""An invoice by itself: what is paid on it, its receipts; and the shop's rules."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from shop.billing import owing, receipts, services
from shop.billing.einvoice import words
from shop.billing.forms import PaymentForm
from shop.billing.models import Invoice
from shop.billing.papers import Row
from shop.billing.paying.forms import CreditMoveForm, PaymentRulesForm
from shop.billing.paying.rules import rules_at, rules_set
from shop.billing.place import at_invoice
from shop.intake.forms_shown import done, typed
from shop.intake.models import Ticket
from shop.intake.pages import act_page, paper
from shop.intake.place import at_ticket
from shop.people.access import FRONT_DESK, OWNER, AtWork, fresh, roles
from shop.printing.services import Order, print_ask, printers_of
from shop.records.errors import Refused
from shop.records.idempotency import once


@roles(FRONT_DESK, OWNER)
@require_GET
@at_invoice
def invoice_page(request: AtWork, invoice: Invoice) -> HttpResponse:
    """A paper with its lines, what is paid on it, and what may be done."""
    is_credit_note = invoice.kind == Invoice.Kind.CREDIT_NOTE
    left = owing.left_of(invoice)
    context = {
        "invoice": invoice,
        "kind": words.said_of(invoice.plain_because),
        "rows": [Row.of(row) for row in invoice.lines.all()],
        "notes": invoice.credit_notes.order_by("id"),
        "left": left,
        "receipts": receipts.receipts_on(invoice),
        "prepaid": owing.prepaid_of(invoice),
        "paid": owing.paid_on(invoice),
        "due": owing.due_of(invoice),
        "takes_money": not is_credit_note and invoice.ticket is None,
        "may_take_back": OWNER in request.held_roles and not is_credit_note and left,
        "station_prints": printers_of(request.station),
    }
    return render(request, "billing/invoice.html", context)


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@at_invoice
@once
def invoice_pay(request: AtWork, invoice: Invoice) -> HttpResponse:
    """Money in or back on an invoice without a ticket; else on its ticket."""
    if invoice.ticket is not None:
        return redirect("billing:payment_take", invoice.ticket.number)
    form = PaymentForm(
        typed(request),
        initial={"amount": owing.due_of(invoice)},
        currency=invoice.currency,
    )

    def act() -> object:
        return services.payment_take(
            shop=request.shop, invoice=invoice, by=request.user, **form.cleaned_data
        )

    if done(form, act):
        return redirect("billing:invoice_page", invoice.number)
    context = {"invoice": invoice, "form": form}
    status = 422 if form.is_bound else 200
    return render(request, "billing/invoice_pay.html", context, status=status)


@roles(FRONT_DESK, OWNER)
@require_GET
@at_invoice
def invoice_receipt(request: AtWork, invoice: Invoice, payment_id: int) -> HttpResponse:
    payment = get_object_or_404(invoice.payments, pk=payment_id)
    name = f"receipt-{invoice.number}-{payment.pk}"
    return paper(receipts.receipt(payment).body, name)


@roles(FRONT_DESK, OWNER)
@require_POST
@at_invoice
@once
def invoice_receipt_print(
    request: AtWork, invoice: Invoice, payment_id: int
) -> HttpResponse:
    """Queue the receipt at this station's printer, or show it to be printed."""
    payment = get_object_or_404(invoice.payments, pk=payment_id)
    order = Order("receipt", payment.pk, ticket_id=payment.ticket_id)
    if print_ask(station=request.station, by=request.user, orders=[order]):
        return redirect("billing:invoice_page", invoice.number)
    return redirect("billing:invoice_receipt", invoice.number, payment.pk)


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@at_ticket
@once
def credit_move(request: AtWork, ticket: Ticket) -> HttpResponse:
    """Use what was paid too much here for another ticket of the same customer."""
    form = CreditMoveForm(typed(request))

    def act() -> object:
        number = form.cleaned_data["to"].strip()
        target = Ticket.objects.filter(shop=request.shop, number=number).first()
        if target is None:
            raise Refused(_("There is no such ticket."), field="to")
        return services.credit_move(source=ticket, target=target, by=request.user)

    heading = _("Use the credit for another ticket")
    return act_page(request, ticket, form, heading, act)


@roles(OWNER)
@fresh
@require_http_methods(["GET", "POST"])
@once
def payment_rules(request: AtWork) -> HttpResponse:
    """Deposits and cash rounding: new rules from now on."""
    shop = request.shop
    form = PaymentRulesForm(typed(request), rules=rules_at(shop, timezone.now()))

    def act() -> object:
        return rules_set(shop=shop, by=request.user, **form.cleaned_data)

    if done(form, act):
        messages.success(request, _("Kept."))
        return redirect("billing:payment_rules")
    context = {"form": form, "before": shop.payment_rules.order_by("-valid_from")}
    status = 422 if form.is_bound else 200
    return render(request, "billing/payment_rules.html", context, status=status)
