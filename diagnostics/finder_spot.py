"""Where a request at the circuit finder works: a board model, and how one came there.

From a ticket's board the page knows the ticket; from the board lore it does not.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from django.http import Http404
from django.shortcuts import get_object_or_404
from django.urls import reverse

from diagnostics import bridge, queries, revisions
from diagnostics.engine.boards import Board as EngineBoard
from diagnostics.engine.landmarks_figures import Side
from diagnostics.models import BoardModel
from diagnostics.place import Place, place_of, with_query
from shop.people.access import TECHNICIAN, AtWork

STATE = (
    *("side", "tool", "group", "kind", "size", "look", "marking"),
    *("rail", "check", "point"),
)
TOOLS = ("inductor", "landmark", "point", "corner")


@dataclass(frozen=True)
class Spot:
    """A board model, the ticket's board in hand if any, and what is looked at."""

    board_model: BoardModel
    place: Place | None
    state: Mapping[str, str]
    may_mark: bool

    @property
    def side(self) -> Side:
        return Side.BOTTOM if self.state["side"] == Side.BOTTOM else Side.TOP

    @property
    def tool(self) -> str:
        tool = self.state["tool"] if self.state["tool"] in TOOLS else ""
        return tool if self.may_mark else ""

    def url(self, **changes: str | int) -> str:
        """The page with the same things looked at, but for these."""
        if self.place:
            args = [self.place.number, self.place.board.pk]
            page = reverse("diagnostics:circuits", args=args)
        else:
            page = reverse("diagnostics:model_circuits", args=[self.board_model.pk])
        return with_query(page, {**self.state, **changes})

    def act_url(self, act: str) -> str:
        return reverse(f"diagnostics:circuits_{act}", args=[self.board_model.pk])

    @property
    def back_url(self) -> str:
        """Where one came from: the check in hand, the board, or the lore."""
        if self.place:
            return self.place.url(check=self.state["check"], point=self.state["point"])
        return self.board_model.get_absolute_url()

    def engine_board(self) -> EngineBoard:
        if self.place:
            return queries.engine_board(self.place.board)
        patches = revisions.patches_of(self.board_model)
        return bridge.engine_board(self.board_model.family, patches)


def spot_of(
    request: AtWork, board_model: BoardModel, place: Place | None = None
) -> Spot:
    asked = request.POST if request.method == "POST" else request.GET
    state = {key: asked.get(key, "")[:60] for key in STATE}
    return Spot(board_model, place, state, TECHNICIAN in request.held_roles)


def spot_of_act(request: AtWork, board_model_id: int) -> Spot:
    """For a form: the model by the address, and where the page stood by its fields."""
    model = get_object_or_404(request.shop.board_models, pk=board_model_id)
    number, board = request.POST.get("number", ""), request.POST.get("board", "")
    if not number or not board.isascii() or not board.isdigit():
        return spot_of(request, model)
    place = place_of(request.shop, number, int(board[:18]))
    if place.board.board_model_id != model.pk:
        raise Http404
    return spot_of(request, model, place)
