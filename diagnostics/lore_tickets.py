"""The tickets of a board model: which boards came, and how each ended."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any

from diagnostics.models import BoardModel, Origin, TicketBoard
from shop.intake import queries as intake
from shop.intake.models import ClosingKind, Outcome, Ticket
from shop.intake.queries import Story

FIRST = 10


@dataclass(frozen=True)
class Seen:
    """Every time that a board of the model came in, newest first.

    ``mixed`` are tickets about boards of other models too: their minutes and money
    can't be told apart.
    """

    joined: tuple[TicketBoard, ...]
    mixed: frozenset[int]

    @cached_property
    def tickets(self) -> tuple[Ticket, ...]:
        return tuple({one.ticket_id: one.ticket for one in self.joined}.values())

    @cached_property
    def alone(self) -> tuple[Ticket, ...]:
        """Tickets about boards of this model only."""
        return tuple(one for one in self.tickets if one.pk not in self.mixed)

    @property
    def boards(self) -> int:
        return len({one.board_id for one in self.joined})

    @property
    def fixed(self) -> int:
        return len({one.board_id for one in self.joined if is_fixed(one.ticket)})

    @property
    def since(self) -> datetime | None:
        return min((one.joined_at for one in self.joined), default=None)


def seen_of(model: BoardModel) -> Seen:
    """With two queries, however many tickets. An import taken back counts not."""
    joined = (
        TicketBoard.objects.filter(
            board__board_model=model, board__origin=Origin.CUSTOMER
        )
        .exclude(ticket__handover__is_undone=True)
        .select_related("board", "ticket__outcome", "ticket__handover")
        .select_related("ticket__device")
        .order_by("-ticket_id", "-id")
    )
    others = TicketBoard.objects.exclude(board__board_model=model).filter(
        ticket__ticket_boards__board__board_model=model
    )
    return Seen(tuple(joined), frozenset(others.values_list("ticket_id", flat=True)))


def outcome_of(ticket: Ticket) -> Outcome | None:
    return getattr(ticket, "outcome", None)


def is_fixed(ticket: Ticket) -> bool:
    outcome = outcome_of(ticket)
    return outcome is not None and outcome.kind == ClosingKind.FIXED


@dataclass(frozen=True)
class Row:
    """A ticket in the list: what was told and found, in short, and how it ended."""

    ticket: Ticket
    story: Story
    outcome: Outcome | None
    minutes: int


def rows_of(seen: Seen, minutes: Mapping[int, int], *, is_all: bool) -> dict[str, Any]:
    """The newest tickets, or all of them; ``minutes`` by ticket id."""
    shown = seen.tickets if is_all else seen.tickets[:FIRST]
    stories = intake.stories_of(shown)
    return {
        "rows": [
            Row(
                ticket,
                stories.get(ticket.pk, Story()),
                outcome_of(ticket),
                minutes.get(ticket.pk, 0),
            )
            for ticket in shown
        ],
        "count": len(seen.tickets),
        "more": len(seen.tickets) - len(shown),
    }
