"""Pages of the donor boards: traffic only."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from diagnostics import donors, services
from diagnostics.doing import done
from diagnostics.donors_forms import PaperForm, TakeOffForm
from shop.people.access import OWNER, TECHNICIAN, AtWork, roles
from shop.records.idempotency import once


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
    return donor_page(request, donor, form, PaperForm())


@roles(TECHNICIAN, OWNER)
@require_POST
@once
def donor_paper(request: AtWork, donor_id: int) -> HttpResponse:
    """By which paper the donor is ours."""
    row = get_object_or_404(donors.rows(request.shop), pk=donor_id)
    (donor,) = donors.donors_of([row])
    form = PaperForm(request.POST)
    if form.is_valid() and done(
        form,
        lambda: services.donor_paper_keep(
            board=row, by=request.user, **form.cleaned_data
        ),
    ):
        return redirect("diagnostics:taken_off", donor_id)
    return donor_page(request, donor, TakeOffForm(donor=donor, shop=request.shop), form)


def donor_page(
    request: AtWork, donor: donors.Donor, form: TakeOffForm, paper: PaperForm
) -> HttpResponse:
    status = 422 if form.is_bound or paper.is_bound else 200
    context = {
        "donor": donor,
        "form": form,
        "paper": paper,
        "is_technician": TECHNICIAN in request.held_roles,
    }
    return render(request, "diagnostics/lore_taken_off.html", context, status=status)
