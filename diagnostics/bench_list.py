"""What lies on the bench: in hand, parked by oneself, and what to take next."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from django.urls import reverse
from django.utils import timezone

from diagnostics import holding, next_up
from diagnostics.models import Board, TicketBoard
from diagnostics.next_up import Job
from shop.intake import promising
from shop.intake import queries as intake
from shop.intake.models import Ticket
from shop.intake.promising import Breaking
from shop.intake.turn import PARKED, Turn, Whose
from shop.people.models import Person, Shop

ROWS, PARKED_ROWS = 6, 2
PART_CAME, SAID_YES = "part_here", "repair"  # what a turn waits for


@dataclass(frozen=True)
class Row:
    """One ticket of ours, with one of its boards if it has any."""

    ticket: Ticket
    board: Board | None
    turn: Turn
    today: date
    breaking: Breaking | None = None

    @property
    def url(self) -> str:
        number = self.ticket.number
        if self.board is None:
            return reverse("diagnostics:board_join", args=[number])
        return reverse("diagnostics:board", args=[number, self.board.pk])

    @property
    def job(self) -> Job:
        turn = self.turn
        return Job(
            since=turn.since,
            promised=self.promised,
            is_warranty=self.ticket.is_warranty,
            has_part=turn.waits_for == PART_CAME,
            said_yes=turn.waits_for == SAID_YES,
        )

    @property
    def promised(self) -> date | None:
        promise = self.turn.promise
        return timezone.localtime(promise).date() if promise else None

    @property
    def days_late(self) -> int:
        return (self.today - self.promised).days if self.promised else 0

    @property
    def reasons(self) -> tuple[str, ...]:
        return next_up.reasons(self.job, self.today)


@dataclass(frozen=True)
class Lists:
    """The rows that are shown, and how many more there are of each kind."""

    in_hand: tuple[Row, ...]
    parked: tuple[Row, ...]
    next: tuple[Row, ...]
    waiting: int
    put_aside: int

    @property
    def ready(self) -> int:
        """All that may be taken, shown or behind the shown."""
        return len(self.next) + self.waiting


def lists_of(
    shop: Shop, person: Person, now: datetime, *, is_all: bool = False
) -> Lists:
    """The rows of the bench's first page: six, or all of them.

    What is parked stands apart, one's own first; others' is behind the link.
    """
    ours = list(rows_of(shop, now))
    rows = [row for row in ours if row.turn.part != PARKED]
    parked = [row for row in ours if row.turn.part == PARKED]
    parked.sort(key=lambda row: row.turn.details["by"] != person.pk)
    held = holding.holders([row.board.pk for row in rows if row.board])
    mine = [r for r in rows if r.board and held.get(r.board.pk) == person.pk]
    free = [r for r in rows if r.board is None or held.get(r.board.pk) is None]
    free.sort(key=lambda row: next_up.order(row.job))
    if is_all:
        return Lists(tuple(mine), tuple(parked), tuple(free), 0, 0)
    in_hand = mine[:ROWS]
    own = [row for row in parked if row.turn.details["by"] == person.pk]
    aside = own[: min(PARKED_ROWS, ROWS - len(in_hand))]
    offered = free[: ROWS - len(in_hand) - len(aside)]
    return Lists(
        tuple(in_hand),
        tuple(aside),
        tuple(offered),
        len(free) - len(offered),
        len(parked) - len(aside),
    )


def rows_of(shop: Shop, now: datetime) -> Iterator[Row]:
    tickets = list(intake.tickets_open(shop))
    turns = intake.turns_of(tickets, now)
    breaks = promising.breaking(shop, tickets, turns, now)
    today = timezone.localtime(now).date()
    boards: dict[int, list[Board | None]] = {}
    for joined in TicketBoard.objects.filter(ticket__in=tickets).select_related(
        "board__board_model"
    ):
        boards.setdefault(joined.ticket_id, []).append(joined.board)
    for ticket in tickets:
        turn = turns[ticket.pk]
        if turn.whose == Whose.OURS:
            for board in boards.get(ticket.pk, [None]):
                yield Row(ticket, board, turn, today, breaks.get(ticket.pk))
