"""Pages of the board lore: traffic only."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from diagnostics import lore_page, services
from diagnostics.place import Place, at_board
from shop.people.access import OWNER, TECHNICIAN, AtWork, roles
from shop.records.idempotency import once


@roles(TECHNICIAN, OWNER)
@require_GET
def lore(request: AtWork, board_model_id: int) -> HttpResponse:
    """All that the good boards of a model read."""
    model = get_object_or_404(request.shop.board_models, pk=board_model_id)
    context = lore_page.context_of(model, timezone.now())
    return render(request, "diagnostics/lore.html", context)


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def lore_keep(request: AtWork, place: Place) -> HttpResponse:
    services.lore_keep(board=place.board, ticket=place.ticket, by=request.user)
    return redirect("diagnostics:lore", place.board.board_model_id)
