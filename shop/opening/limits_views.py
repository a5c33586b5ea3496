"""The owner's pages of limits and numbers: traffic only."""

from django.http import HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from shop.intake.forms_shown import typed
from shop.opening import numbers as series
from shop.opening.limits_form import LimitsForm
from shop.opening.settings_views import act_done, act_kept, form_page
from shop.people.access import OWNER, AtWork, fresh, roles
from shop.people.office_limits import DAYS, limits_at, limits_set
from shop.records.idempotency import once


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@once
def limits(request: AtWork) -> HttpResponse:
    """New limits of the office, from now or from a day on."""
    shop, now = request.shop, timezone.now()
    stand = limits_at(shop, now)
    start = {name: getattr(stand, name) for name in DAYS}
    form = LimitsForm(typed(request), initial=start)

    def act() -> object:
        at = form.begins_at(shop.zone)
        return limits_set(shop=shop, by=request.user, at=at, **form.days())

    if act_done(form, act):
        return act_kept(request, "opening:limits")
    rows = shop.office_limits.select_related("by").order_by("-valid_from", "-id")
    context = {"form": form, "rows": rows, "stand": stand, "now": now}
    return form_page(request, "opening/limits.html", form, context)


@roles(OWNER)
@fresh
@require_http_methods(["GET", "POST"])
@once
def numbers(request: AtWork) -> HttpResponse:
    """Where each series of numbers goes on."""
    shop = request.shop
    form = series.NumbersForm(typed(request), shop=shop)

    def act() -> object:
        return series.numbers_move(shop=shop, by=request.user, firsts=form.cleaned_data)

    if act_done(form, act):
        return act_kept(request, "opening:numbers")
    return form_page(request, "opening/numbers.html", form, {"form": form})
