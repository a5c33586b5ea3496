"""The tickets of a board model: which boards came, and how each ended."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any, NamedTuple

from diagnostics.lore_newest import newest_of
from diagnostics.models import Board, BoardModel, Origin, TicketBoard
from shop.intake import queries as intake
from shop.intake.models import ClosingKind, Outcome, Ticket
from shop.intake.queries import Story

FIRST = 10


class Came(NamedTuple):
    """A board that came in with a ticket; how it ``ended``, empty while it is open."""

    ticket_id: int
    board_id: int
    joined_at: datetime
    ended: str


@dataclass(frozen=True)
class Seen:
    """Every time that one of the model's newest boards came in, newest first.

    ``is_cut``: there are older boards too. ``mixed`` are tickets about boards of
    other models too: their minutes and money can't be told apart.
    """

    joined: tuple[Came, ...]
    mixed: frozenset[int]
    is_cut: bool = False

    @cached_property
    def tickets(self) -> dict[int, str]:
        """By ticket id, newest first, how it ended."""
        return {one.ticket_id: one.ended for one in self.joined}

    @cached_property
    def alone(self) -> dict[int, str]:
        """The same of tickets about boards of this model only."""
        return {pk: end for pk, end in self.tickets.items() if pk not in self.mixed}

    @property
    def boards(self) -> int:
        return len({one.board_id for one in self.joined})

    @property
    def fixed(self) -> int:
        ended = (one for one in self.joined if one.ended == ClosingKind.FIXED)
        return len({one.board_id for one in ended})

    @property
    def since(self) -> datetime | None:
        return min((one.joined_at for one in self.joined), default=None)


def seen_of(model: BoardModel) -> Seen:
    """With three queries, however many tickets. An import taken back counts not."""
    came_in = Board.objects.filter(origin=Origin.CUSTOMER)
    newest = newest_of(came_in, [model.pk])
    boards = came_in.filter(newest.which).values("pk")
    joined = (
        TicketBoard.objects.filter(board__in=boards)
        .exclude(ticket__handover__is_undone=True)
        .order_by("-ticket_id", "-id")
        .values_list("ticket_id", "board_id", "joined_at", "ticket__outcome__kind")
    )
    others = TicketBoard.objects.exclude(board__board_model=model)
    of_both = others.filter(ticket__ticket_boards__board__in=boards)
    mixed = frozenset(of_both.values_list("ticket_id", flat=True))
    came = (Came(pk, board, at, end or "") for pk, board, at, end in joined)
    return Seen(tuple(came), mixed, bool(newest.cut))


@dataclass(frozen=True)
class Row:
    """A ticket in the list: what was told and found, in short, and how it ended."""

    ticket: Ticket
    story: Story
    outcome: Outcome | None
    minutes: int


def rows_of(seen: Seen, minutes: Mapping[int, int], *, is_all: bool) -> dict[str, Any]:
    """The newest tickets, or all of them; ``minutes`` by ticket id."""
    keys = list(seen.tickets)
    rows = Ticket.objects.filter(pk__in=keys if is_all else keys[:FIRST])
    shown = list(rows.select_related("outcome", "device").order_by("-pk"))
    stories = intake.stories_of(shown)
    return {
        "rows": [
            Row(
                ticket,
                stories.get(ticket.pk, Story()),
                getattr(ticket, "outcome", None),
                minutes.get(ticket.pk, 0),
            )
            for ticket in shown
        ],
        "count": len(keys),
        "more": len(keys) - len(shown),
    }
