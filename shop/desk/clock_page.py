"""What the bench says of a person's clock, beside the board that is shown."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from diagnostics import holding
from diagnostics.models import Board
from diagnostics.place import Place
from shop.billing.clocks import Clocks, End, Stint
from shop.billing.day_split import MINUTE
from shop.desk.evening_marks import clocks, day_bounds
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.models import Event


@dataclass(frozen=True)
class Move:
    """A silent move that may still be undone."""

    taken_id: int
    before: Place
    after: Place
    at: datetime


def context(person: Person, place: Place, now: datetime) -> dict[str, Any]:
    """The clock of the masthead: on this board, elsewhere, stopped, or none."""
    shop = place.board.shop
    first, _after = day_bounds(shop, now.astimezone(shop.zone).date())
    found = clocks(shop, [person.pk], first, now)
    running = next((one for one in found.stints if one.ended == End.RUNNING), None)
    holder_id = holding.holder_of(place.board)
    return {
        "place": place,
        "person": person,
        "is_mine": holder_id == person.pk,
        "is_closed": place.ticket is not None and hasattr(place.ticket, "handover"),
        "holder": holding.name_of(holder_id, person),
        "is_here": running is not None and running.board == place.board.pk,
        "running": running,
        "elsewhere": _elsewhere(running, place),
        "since": _since(found, running),
        "minutes": _minutes(found, place),
        "day_minutes": sum((s.length for s in found.stints), timedelta()) // MINUTE,
        "move": _move(person, found, now),
    }


def _elsewhere(running: Stint | None, place: Place) -> Place | None:
    if running is None or running.board == place.board.pk:
        return None
    return _place_of(running.ticket, running.board)


def _place_of(ticket_id: int | None, board_id: int) -> Place:
    board = Board.objects.select_related("board_model").get(pk=board_id)
    ticket = Ticket.objects.get(pk=ticket_id) if ticket_id else None
    return Place(ticket, board)


def _since(found: Clocks, running: Stint | None) -> datetime | None:
    """Since when it runs without a break; opening time is none."""
    if running is None:
        return None
    since = running.start
    for one in reversed(found.stints):
        if one.end == since and one.board == running.board:
            since = one.start
    return since


def _minutes(found: Clocks, place: Place) -> int:
    own = (one.length for one in found.stints if one.board == place.board.pk)
    return sum(own, timedelta()) // MINUTE


def _move(person: Person, found: Clocks, now: datetime) -> Move | None:
    """The newest move of the clock, until the person's next act after it."""
    taken = holding.newest_taking(person)
    if taken is None or now - taken.at > timedelta(hours=3):
        return None
    before = holding.made_way(taken)
    if before is None or not holding.is_newest(taken) or _went_on(found, taken):
        return None
    assert taken.board_id is not None
    assert before.board_id is not None
    return Move(
        taken.pk,
        _place_of(before.ticket_id, before.board_id),
        _place_of(taken.ticket_id, taken.board_id),
        taken.at,
    )


def _went_on(found: Clocks, taken: Event) -> bool:
    signs = [sign for one in found.stints for sign in one.signs]
    return any(sign.at > taken.at for sign in (*signs, *found.loose))
