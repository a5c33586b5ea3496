"""Where a request at the bench works: a ticket's board, or a reference board.

A reference session has a known-good or donor board, no ticket and no customer; its
addresses have ``reference`` where the others have the ticket's number.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import wraps
from typing import Concatenate, ParamSpec

from django.http import HttpResponse
from django.urls import reverse
from django.utils.http import urlencode

from diagnostics import queries, tablets
from diagnostics.models import Board
from shop.intake.models import Ticket
from shop.people.access import AtWork
from shop.people.models import Shop

P = ParamSpec("P")
REFERENCE = "reference"


@dataclass(frozen=True)
class Place:
    ticket: Ticket | None
    board: Board

    @property
    def number(self) -> str:
        """The ticket's number, as addresses of the bench name it."""
        return self.ticket.number if self.ticket else REFERENCE

    def url(self, **state: str | int) -> str:
        """The bench page of this board, with what is looked at there."""
        page = reverse("diagnostics:board", args=[self.number, self.board.pk])
        return with_query(page, state)

    @property
    def said(self) -> str:
        """The ticket's number, or the serial number of a reference board."""
        return self.ticket.number if self.ticket else self.board.serial

    @property
    def calculators_url(self) -> str:
        """The list of the calculators beside this board."""
        return reverse("diagnostics:calculators", args=[self.number, self.board.pk])

    def calculator_url(self, calculator_id: str, **typed: str) -> str:
        """One calculator, with the point in hand and what was typed if anything.

        Sorted, so that one calculation has one address: PostgreSQL gives the keys
        of a kept one back in an order of its own.
        """
        args = [self.number, self.board.pk, calculator_id]
        in_order = dict(sorted(typed.items()))
        return with_query(reverse("diagnostics:calculator", args=args), in_order)


def with_query(page: str, state: Mapping[str, str | int]) -> str:
    kept = {key: value for key, value in state.items() if value}
    return f"{page}?{urlencode(kept)}" if kept else page


def at_board(
    view: Callable[Concatenate[AtWork, Place, P], HttpResponse],
) -> Callable[Concatenate[AtWork, str, int, P], HttpResponse]:
    """Fetch the board in this person's shop, or 404, before the act.

    What a tablet had kept is done as who did it (``tablets``).
    """

    @wraps(view)
    def placed(
        request: AtWork,
        number: str,
        board_id: int,
        *args: P.args,
        **kwargs: P.kwargs,
    ) -> HttpResponse:
        place = place_of(request.shop, number, board_id)
        return tablets.received(request, lambda: view(request, place, *args, **kwargs))

    return placed  # type: ignore[return-value]  # the URL map names its parts


def place_of(shop: Shop, number: str, board_id: int) -> Place:
    if number == REFERENCE:
        return Place(None, queries.reference_board_of(shop, board_id))
    return Place(*queries.board_of(shop, number, board_id))
