"""Pages of the shop's meters: traffic only."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from diagnostics import services
from diagnostics.doing import done
from diagnostics.meter_forms import (
    LineForms,
    MeterForm,
    lines_start,
    ranges_typed,
    start_of,
)
from diagnostics.models import Meter
from shop.people.access import OWNER, TECHNICIAN, AtWork, roles
from shop.records.idempotency import once


@roles(TECHNICIAN, OWNER)
@require_GET
def meters(request: AtWork) -> HttpResponse:
    rows = request.shop.meters.filter(retired_at=None).order_by("name")
    today = timezone.localdate(timezone=request.shop.zone)
    return render(request, "diagnostics/meters.html", {"meters": rows, "today": today})


@roles(TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
def meter_new(request: AtWork) -> HttpResponse:
    return page(request, None)


@roles(TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
def meter(request: AtWork, meter_id: int) -> HttpResponse:
    return page(request, get_object_or_404(request.shop.meters, pk=meter_id))


def page(request: AtWork, row: Meter | None) -> HttpResponse:
    """A meter's figures from its manual; keeping them makes a new row."""
    form = MeterForm(request.POST or None, initial=start_of(row))
    lines = LineForms(request.POST or None, initial=lines_start(row), prefix="lines")
    if form.is_bound and all([form.is_valid(), lines.is_valid()]):
        typed = form.cleaned_data | {"ranges": ranges_typed(lines)}
        if done(form, lambda: keep(request, row, typed)):
            return redirect("diagnostics:meters")
    context = {"meter": row, "form": form, "lines": lines}
    status = 422 if form.is_bound else 200
    return render(request, "diagnostics/meter.html", context, status=status)


def keep(request: AtWork, row: Meter | None, typed: dict[str, Any]) -> Meter:
    return services.meter_keep(
        shop=request.shop, by=request.user, replaces=row, **typed
    )
