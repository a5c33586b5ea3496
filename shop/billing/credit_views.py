"""Taking an issued invoice back, with the reason that its credit note prints."""

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from shop.billing import queries, services
from shop.billing.models import Invoice
from shop.billing.place import at_invoice
from shop.intake.fields import text
from shop.intake.forms_shown import typed
from shop.people.access import OWNER, AtWork, roles
from shop.records.errors import Refused
from shop.records.idempotency import once


class CreditForm(forms.Form):
    reason = text(gettext_lazy("Why it is taken back"), 200, is_needed=True)
    reason.help_text = gettext_lazy("Printed on the credit note.")


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@at_invoice
@once
def credit_note(request: AtWork, invoice: Invoice) -> HttpResponse:
    form = CreditForm(typed(request))
    refused = None
    if form.is_valid():
        try:
            note = services.credit_note_issue(
                invoice=invoice, by=request.user, reason=form.cleaned_data["reason"]
            )
        except Refused as refusal:
            refused = refusal
        else:
            messages.success(request, _said(note))
            return redirect(note.ticket or note)
    context = {"invoice": invoice, "refused": refused, "form": form}
    status = 422 if form.is_bound else 200
    return render(request, "billing/credit_note.html", context, status=status)


def _said(note: Invoice) -> str:
    """That it is issued, and what was paid and is the customer's now."""
    paid = queries.paid(note.ticket) if note.ticket else None
    values = {"number": note.number, "paid": paid, "currency": note.currency}
    if not paid:
        return _("Credit note %(number)s is issued.") % values
    return (
        _(
            "Credit note %(number)s is issued. %(paid)s %(currency)s was paid: "
            "give it back, or bill the work anew."
        )
        % values
    )
