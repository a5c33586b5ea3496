"""The ladders of many tickets as strips, for lists: a constant number of queries."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from diagnostics import ladders, queries, sayings
from diagnostics.bridge import Known
from diagnostics.models import TicketBoard
from shop.intake.models import Ticket


@dataclass(frozen=True)
class Strip:
    """The worst rung of each stage from input to core, and the same in words."""

    stages: list[str]
    words: str


def strips(tickets: Sequence[Ticket]) -> dict[int, Strip]:
    """By ticket id; of the first board where a ticket has several."""
    joined = (
        TicketBoard.objects.filter(ticket__in=[ticket.pk for ticket in tickets])
        .select_related("board__board_model", "board__shop")
        .order_by("-id")
    )
    boards = {one.ticket_id: one.board for one in joined}
    known = queries.known_of_all(list(boards.values()), people=False)
    return {ticket_id: strip_of(known[board.pk]) for ticket_id, board in boards.items()}


def strip_of(known: Known) -> Strip:
    worst = ladders.worst_by_stage(known)
    return Strip([word for _name, word in worst], words_of(worst))


def words_of(worst: Sequence[tuple[str, str]]) -> str:
    """ "down at Standby, odd at Charge": what is wrong by stage, else one word."""
    wrong = {word: [name for name, w in worst if w == word] for word in ("down", "odd")}
    told = [
        _("%(word)s at %(stages)s")
        % {"word": sayings.RUNGS[word], "stages": ", ".join(names)}
        for word, names in wrong.items()
        if names
    ]
    if told:
        return _("Board: %(what)s") % {"what": "; ".join(told)}
    if any(word == "up" for _name, word in worst):
        return _("Board: nothing down")
    return _("Board: no volts read yet")
