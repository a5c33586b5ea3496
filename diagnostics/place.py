"""Where a request at the bench works: a ticket and one of its boards."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import Concatenate, ParamSpec

from django.http import HttpResponse
from django.urls import reverse
from django.utils.http import urlencode

from diagnostics import queries
from diagnostics.models import Board
from shop.intake.models import Ticket
from shop.people.access import AtWork

P = ParamSpec("P")


@dataclass(frozen=True)
class Place:
    ticket: Ticket
    board: Board

    def url(self, **state: str | int) -> str:
        """The bench page of this board, with what is looked at there."""
        page = reverse("diagnostics:board", args=[self.ticket.number, self.board.pk])
        kept = {key: value for key, value in state.items() if value}
        return f"{page}?{urlencode(kept)}" if kept else page


def at_board(
    view: Callable[Concatenate[AtWork, Place, P], HttpResponse],
) -> Callable[Concatenate[AtWork, str, int, P], HttpResponse]:
    """Fetch the ticket's board in this person's shop, or 404, before the act."""

    @wraps(view)
    def placed(
        request: AtWork,
        number: str,
        board_id: int,
        *args: P.args,
        **kwargs: P.kwargs,
    ) -> HttpResponse:
        ticket, board = queries.board_of(request.shop, number, board_id)
        return view(request, Place(ticket, board), *args, **kwargs)

    return placed  # type: ignore[return-value]  # the URL map names its parts
