"""Pages of the board lore that the bench makes alone: traffic only."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from diagnostics import bridge, lore_differs, lore_list, revisions, services
from diagnostics.doing import done
from diagnostics.place import Place, at_board
from shop.people.access import OWNER, TECHNICIAN, AtWork, roles
from shop.records.idempotency import once


@roles(TECHNICIAN, OWNER)
@require_GET
def lores(request: AtWork) -> HttpResponse:
    """All board models; an exact number leads to its page at once."""
    asked = request.GET.get("q", "").strip()[:80]
    exact = request.shop.board_models.filter(number__iexact=asked).first()
    if exact is not None:
        return redirect(exact)
    context = {"asked": asked, **lore_list.models_of(request.shop, asked)}
    return render(request, "diagnostics/lore_list.html", context)


@roles(TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
def differs(request: AtWork, board_model_id: int) -> HttpResponse:
    """What a board model changes over its family, and changing one thing more."""
    model = get_object_or_404(request.shop.board_models, pk=board_model_id)
    board = bridge.engine_board(model.family, revisions.patches_of(model))
    form = lore_differs.DiffersForm(request.POST or None, board=board)
    if (
        form.is_bound
        and form.is_valid()
        and done(
            form,
            lambda: services.board_model_patch(
                board_model=model, by=request.user, **form.cleaned_data
            ),
        )
    ):
        return redirect("diagnostics:differs", model.pk)
    context = {
        "model": model,
        "form": form,
        "differences": lore_differs.differences(model, board),
    }
    status = 422 if form.is_bound else 200
    return render(request, "diagnostics/lore_differs.html", context, status=status)


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def lore_keep(request: AtWork, place: Place) -> HttpResponse:
    services.lore_keep(board=place.board, ticket=place.ticket, by=request.user)
    return redirect(place.board.board_model)
