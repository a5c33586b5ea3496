"""Acts of machine time: traffic only."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from diagnostics import services, tablets
from diagnostics.models import MachineRun
from diagnostics.page_state import state_of
from diagnostics.place import Place, at_board
from shop.people.access import TECHNICIAN, AtWork, roles
from shop.records.errors import Refused
from shop.records.idempotency import once


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def machine_start(request: AtWork, place: Place) -> HttpResponse:
    """Something is left to run; a reference board has nothing that would."""
    if place.ticket is not None:
        try:
            services.machine_run_start(
                ticket=place.ticket,
                board=place.board,
                by=request.user,
                kind=request.POST.get("kind", ""),
                at=tablets.moment(),
            )
        except Refused as refused:
            messages.error(request, str(refused))
    return redirect(place.url(**state_of(request)))


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def machine_end(request: AtWork, place: Place, machine_id: int) -> HttpResponse:
    run = get_object_or_404(MachineRun, pk=machine_id, ticket=place.ticket)
    services.machine_run_end(run=run, by=request.user, at=tablets.moment())
    return redirect(place.url(**state_of(request)))
