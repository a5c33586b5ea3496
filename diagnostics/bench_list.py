"""What lies on the bench: in hand, and what to take next."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse

from diagnostics import holding
from diagnostics.models import Board, TicketBoard
from shop.intake import queries as intake
from shop.intake.models import Ticket
from shop.intake.turn import PARKED, Turn, Whose
from shop.people.models import Person, Shop

ROWS = 6


@dataclass(frozen=True)
class Row:
    """One ticket of ours, with one of its boards if it has any."""

    ticket: Ticket
    board: Board | None
    turn: Turn

    @property
    def url(self) -> str:
        number = self.ticket.number
        if self.board is None:
            return reverse("diagnostics:board_join", args=[number])
        return reverse("diagnostics:board", args=[number, self.board.pk])


@dataclass(frozen=True)
class Lists:
    in_hand: tuple[Row, ...]
    next: tuple[Row, ...]
    parked: tuple[Row, ...]
    waiting: int

    @property
    def ready(self) -> int:
        """All that may be taken, shown or behind the shown."""
        return len(self.next) + self.waiting


def lists_of(shop: Shop, person: Person, now: datetime) -> Lists:
    """The rows of the bench's first page; the longest waiting come first.

    What is parked stands apart, one's own first.
    """
    ours = list(rows_of(shop, now))
    rows = [row for row in ours if row.turn.part != PARKED]
    parked = [row for row in ours if row.turn.part == PARKED]
    parked.sort(key=lambda row: row.turn.details["by"] != person.pk)
    held = holding.holders([row.board.pk for row in rows if row.board])
    mine = tuple(r for r in rows if r.board and held.get(r.board.pk) == person.pk)
    free = [r for r in rows if r.board is None or held.get(r.board.pk) is None]
    free.sort(key=lambda row: row.turn.since)
    return Lists(
        mine[:ROWS], tuple(free[:ROWS]), tuple(parked), max(0, len(free) - ROWS)
    )


def rows_of(shop: Shop, now: datetime) -> Iterable[Row]:
    tickets = list(intake.tickets_open(shop))
    turns = intake.turns_of(tickets, now)
    boards: dict[int, list[Board]] = {}
    for joined in TicketBoard.objects.filter(ticket__in=tickets).select_related(
        "board__board_model"
    ):
        boards.setdefault(joined.ticket_id, []).append(joined.board)
    for ticket in tickets:
        turn = turns[ticket.pk]
        if turn.whose != Whose.OURS:
            continue
        if ticket.pk not in boards:
            yield Row(ticket, None, turn)
        for board in boards.get(ticket.pk, ()):
            yield Row(ticket, board, turn)
