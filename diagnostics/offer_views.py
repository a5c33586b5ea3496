"""The owner's page of board families and what board models change over them."""

from datetime import date, datetime, time

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods

from diagnostics import bridge, lore_differs, sayings
from diagnostics.doing import done
from diagnostics.offering import offered_at, offers_set
from shop.intake.forms_shown import typed
from shop.people.access import OWNER, AtWork, roles
from shop.records.idempotency import once

NEWEST = 20


class OffersForm(forms.Form):
    families = forms.MultipleChoiceField(
        label=_("Families that are offered"),
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    valid_from = forms.DateField(
        label=_("Valid from"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text=_("From the morning of that day. Empty: from now."),
    )

    def __init__(self, *args: object, **more: object) -> None:
        super().__init__(*args, **more)  # type: ignore[arg-type]
        self.fields["families"].choices = [  # type: ignore[attr-defined]
            (one, sayings.family_text(bridge.family_name(one)))
            for one in bridge.family_ids()
        ]


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@once
def families(request: AtWork) -> HttpResponse:
    shop, now = request.shop, timezone.now()
    form = OffersForm(
        typed(request),
        initial={"families": offered_at(shop, now)},
    )

    def act() -> object:
        day: date | None = form.cleaned_data["valid_from"]
        begins = None if day is None else datetime.combine(day, time(), shop.zone)
        chosen = form.cleaned_data["families"]
        return offers_set(shop=shop, by=request.user, families=chosen, at=begins)

    if form.is_bound and form.is_valid() and done(form, act):
        messages.success(request, gettext("Kept."))
        return redirect("diagnostics:families")
    names = dict(form.fields["families"].choices)  # type: ignore[attr-defined]
    context = {
        "form": form,
        "names": names,
        "rows": [
            (row, names.get(row.family, row.family))
            for row in shop.family_offers.select_related("by").order_by(
                "-valid_from", "-id"
            )
        ],
        "now": now,
        "changes": lore_differs.latest(shop, NEWEST),
    }
    status = 422 if form.is_bound else 200
    return render(request, "diagnostics/families.html", context, status=status)
