"""Pages of the donor boards: traffic only."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from diagnostics import donors, services
from diagnostics.doing import done
from diagnostics.donors_forms import TakeOffForm
from shop.people.access import OWNER, TECHNICIAN, AtWork, roles
from shop.records.idempotency import once


@roles(TECHNICIAN, OWNER)
@require_GET
def find(request: AtWork) -> HttpResponse:
    """Who has this part; without a question, all donors."""
    asked = request.GET.get("q", "").strip()[:80]
    context = {
        "asked": asked,
        "offers": donors.who_has(request.shop, asked),
        "donors": [] if asked else donors.donors_of(donors.rows(request.shop)),
        "is_technician": TECHNICIAN in request.held_roles,
    }
    return render(request, "diagnostics/lore_donors.html", context)


@roles(TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
def taken_off(request: AtWork, donor_id: int) -> HttpResponse:
    """The taken-off list of one donor, and taking something off."""
    row = get_object_or_404(donors.rows(request.shop), pk=donor_id)
    (donor,) = donors.donors_of([row])
    form = TakeOffForm(
        request.POST or None,
        donor=donor,
        shop=request.shop,
        initial={"ticket": request.GET.get("ticket", "")[:20]},
    )
    if (
        form.is_bound
        and form.is_valid()
        and done(
            form,
            lambda: services.part_take_off(board=row, by=request.user, **form.asked()),
        )
    ):
        return redirect("diagnostics:taken_off", donor_id)
    status = 422 if form.is_bound else 200
    context = {
        "donor": donor,
        "form": form,
        "is_technician": TECHNICIAN in request.held_roles,
    }
    return render(request, "diagnostics/lore_taken_off.html", context, status=status)
