"""Taking an issued invoice back, with the reason that its credit note prints."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from shop.billing import owing, queries, services
from shop.billing.crediting.forms import CreditForm
from shop.billing.models import Invoice
from shop.billing.place import at_invoice
from shop.billing.selling import returns
from shop.intake.forms_shown import done, typed
from shop.people.access import OWNER, AtWork, roles
from shop.records.idempotency import once


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@at_invoice
@once
def credit_note(request: AtWork, invoice: Invoice) -> HttpResponse:
    form = CreditForm(
        typed(request),
        left=owing.lines_left(invoice),
        out=returns.still_out(invoice),
        currency=invoice.currency,
    )
    made: list[Invoice] = []

    def act() -> None:
        made.append(
            services.credit_note_issue(
                invoice=invoice,
                by=request.user,
                reason=form.cleaned_data["reason"],
                takes=form.takes(),
                shelved=form.shelved(),
            )
        )

    if done(form, act):
        messages.success(request, _said(made[0]))
        if invoice.ticket is not None:
            return redirect(invoice.ticket)
        return redirect("billing:invoice_page", invoice.number)
    context = {"invoice": invoice, "form": form, "left": owing.left_of(invoice)}
    status = 422 if form.is_bound else 200
    return render(request, "billing/credit_note.html", context, status=status)


def _said(note: Invoice) -> str:
    """That it is issued, and what was paid and is the customer's now."""
    paid = queries.paid(note.ticket) if note.ticket else None
    values = {"number": note.number, "paid": paid, "currency": note.currency}
    if note.is_partial or not paid:
        return _("Credit note %(number)s is issued.") % values
    return (
        _(
            "Credit note %(number)s is issued. %(paid)s %(currency)s was paid: "
            "give it back, or bill the work anew."
        )
        % values
    )
