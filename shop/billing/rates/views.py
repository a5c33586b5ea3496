"""The owner's word on goodwill: traffic only."""

from django import forms
from django.http import HttpResponse
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from shop.billing.rates import free
from shop.intake.fields import text
from shop.intake.forms_shown import typed
from shop.intake.models import Ticket
from shop.intake.pages import act_page
from shop.intake.place import at_ticket
from shop.people.access import OWNER, AtWork, roles
from shop.records.idempotency import once


class GoodwillForm(forms.Form):
    reason = text(gettext_lazy("Why"), 500, is_needed=True)


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@at_ticket
@once
def goodwill(request: AtWork, ticket: Ticket) -> HttpResponse:
    """At no charge out of goodwill, or charged after all; the other way each time."""
    form = GoodwillForm(typed(request))
    said = free.goodwill_of(ticket)
    is_given = said is None or not said.is_given
    heading = (
        gettext_lazy("At no charge, out of goodwill")
        if is_given
        else gettext_lazy("Charge it after all")
    )
    return act_page(
        request,
        ticket,
        form,
        heading,
        lambda: free.goodwill_decide(
            ticket=ticket,
            by=request.user,
            is_given=is_given,
            reason=form.cleaned_data["reason"],
        ),
        button=heading,
        template="billing/goodwill.html",
        more={"is_given": is_given},
    )
