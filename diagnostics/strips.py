"""The ladders of many tickets as strips, for lists: a constant number of queries."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import get_language
from django.utils.translation import gettext as _

from diagnostics import ladders, queries, sayings
from diagnostics.bridge import Known
from diagnostics.marks import marks_of
from diagnostics.models import Board, TicketBoard
from shop.intake.models import Ticket
from shop.records.cache import cache

KEPT_SECONDS = 24 * 60 * 60


@dataclass(frozen=True)
class Strip:
    """The worst rung of each stage from input to core, and the same in words."""

    stages: list[str]
    words: str


def strips(tickets: Sequence[Ticket]) -> dict[int, Strip]:
    """By ticket id; of the first board where a ticket has several.

    A strip is kept under all that it is made from, so it is never out of date:
    only boards that something happened to are reckoned anew.
    """
    joined = (
        TicketBoard.objects.filter(ticket__in=[ticket.pk for ticket in tickets])
        .select_related("board__board_model", "board__shop")
        .order_by("-id")
    )
    boards = {one.ticket_id: one.board for one in joined}
    keys = _keys(list(boards.values()))
    kept: dict[str, Strip] = cache.get_many(keys.values())
    new = [board for board in boards.values() if keys[board.pk] not in kept]
    known = queries.known_of_all(new, people=False) if new else {}
    fresh = {keys[pk]: strip_of(one) for pk, one in known.items()}
    cache.set_many(fresh, KEPT_SECONDS)
    kept |= fresh
    return {ticket_id: kept[keys[board.pk]] for ticket_id, board in boards.items()}


def _keys(boards: Sequence[Board]) -> dict[int, str]:
    """What each board's strip is made from, by board id."""
    language, marks = get_language(), marks_of(boards)
    return {pk: f"strip-{language}-{pk}-{mark}" for pk, mark in marks.items()}


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
