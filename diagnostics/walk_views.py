"""Acts along the walk: traffic only."""

from django.http import HttpResponse
from django.views.decorators.http import require_POST

from diagnostics import bench_page, services, tablets
from diagnostics.doing import done
from diagnostics.place import Place, at_board
from diagnostics.walk_forms import ConditionForm, PassByForm
from shop.people.access import TECHNICIAN, AtWork, roles
from shop.records.idempotency import once


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def condition_set(request: AtWork, place: Place) -> HttpResponse:
    form = ConditionForm(request.POST)
    if form.is_valid() and done(
        form,
        lambda: services.condition_set(
            board=place.board,
            ticket=place.ticket,
            by=request.user,
            at=tablets.moment(),
            **form.cleaned_data,
        ),
    ):
        return bench_page.same_check(request, place)
    return bench_page.show(request, place, refused={"condition": form})


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def check_pass_by(request: AtWork, place: Place) -> HttpResponse:
    form = PassByForm(request.POST)
    if form.is_valid() and done(
        form,
        lambda: services.check_pass_by(
            board=place.board,
            ticket=place.ticket,
            by=request.user,
            at=tablets.moment(),
            **form.cleaned_data,
        ),
    ):
        return bench_page.onward(request, place, form.cleaned_data["check_id"])
    return bench_page.show(request, place, refused={"pass_by": form})
