"""The owner's page of rates: the next terms with their day, and what holds when."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from shop.billing.wording import number_shown
from shop.intake.forms_shown import typed
from shop.money import Money
from shop.opening import forms as asked
from shop.opening.rates_form import RatesForm
from shop.opening.rates_rows import TablesForm
from shop.opening.settings_views import act_done, act_kept, form_page
from shop.people import terms_services
from shop.people.access import OWNER, AtWork, fresh, roles
from shop.people.models import Shop, Terms
from shop.records.errors import Refused
from shop.records.idempotency import once


@dataclass(frozen=True)
class Held:
    """A set of terms and from when until when it holds; the newest may still come."""

    terms: Terms
    hourly: Money
    fee: Money
    tax: str
    until: datetime | None
    is_now: bool
    is_coming: bool
    may_withdraw: bool


@roles(OWNER)
@fresh
@require_http_methods(["GET", "POST"])
@once
def rates(request: AtWork) -> HttpResponse:
    """New terms, from now or from a day on. What was agreed by the old ones stays."""
    shop = request.shop
    last = shop.terms.latest("valid_from")
    start = asked.initial_of_terms(last, shop.currency) | {"seen": last.pk}
    form = RatesForm(typed(request), currency=shop.currency, initial=start)
    tables = TablesForm(typed(request), last, shop.currency)
    are_right = not form.is_bound or tables.is_valid()

    def act() -> object:
        return terms_services.terms_set(
            shop=shop,
            by=request.user,
            at=form.begins_at(shop.zone),
            tables=tables.tables(),
            **form.answers(),
        )

    if are_right and act_done(form, act):
        return act_kept(request, "opening:rates")
    context = {
        "form": form,
        "tables": tables,
        "are_right": are_right,
        "held": list(held(shop, timezone.now())),
    }
    return form_page(request, "opening/rates.html", form, context)


def held(shop: Shop, now: datetime) -> Iterator[Held]:
    """All terms, the newest first, each with when it ends."""
    until: datetime | None = None
    has_now = False
    for terms in shop.terms.order_by("-valid_from"):
        is_coming = terms.valid_from > now
        yield Held(
            terms=terms,
            hourly=Money.from_minor(terms.hourly_rate_minor, shop.currency),
            fee=Money.from_minor(terms.diagnosis_fee_minor, shop.currency),
            tax=number_shown(Decimal(terms.tax_basis_points) / 100),
            until=until,
            is_now=not is_coming and not has_now,
            is_coming=is_coming,
            may_withdraw=is_coming and until is None,
        )
        has_now = has_now or not is_coming
        until = terms.valid_from


@roles(OWNER)
@fresh
@require_POST
@once
def rates_withdraw(request: AtWork, terms_id: int) -> HttpResponse:
    terms = get_object_or_404(request.shop.terms, pk=terms_id)
    try:
        terms_services.terms_withdraw(terms=terms, by=request.user)
    except Refused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("Withdrawn. The rates before them hold on."))
    return redirect("opening:rates")
