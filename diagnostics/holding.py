"""Who has a board in hand: told by its newest taking or putting down.

The newest is the latest that happened, not the latest to be written: a tablet may
send what it kept while the network was away.

A person has taken as many boards as the years brought, and holds one or two. Events
are only ever added, so a board in hand was in hand a while ago, or taken since, or
has moved after the moment that is asked for; only those are looked at. The keys of a
while ago are kept in the worker's memory.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta
from operator import attrgetter
from typing import NamedTuple

from django.db import transaction
from django.db.models import Exists, OuterRef, Q, QuerySet

from diagnostics.models import Board
from shop.people.models import Person, Shop
from shop.records.cache import cache
from shop.records.kinds import Kind
from shop.records.models import Event

IN_HAND = (Kind.BOARD_TAKEN.value, Kind.BOARD_PUT_DOWN.value)
KEPT_SECONDS = 24 * 60 * 60
TAIL = 500  # an earlier number may be committed later
AT_ONCE = 500  # boards in one question


class Kept(NamedTuple):
    """The newest event there was, and the boards that a person held then."""

    newest: int
    boards: frozenset[int]


def holder_in(events: Iterable[Event]) -> int | None:
    """Who has the board in hand, by its newest taking or putting down."""
    own = (event for event in events if event.kind in IN_HAND)
    newest = max(own, key=lambda event: (event.at, event.pk), default=None)
    if newest is not None and newest.kind == Kind.BOARD_TAKEN:
        return newest.person_id
    return None


def holder_of(board: Board, at: datetime | None = None) -> int | None:
    """Who has it in hand now, or had at that moment."""
    return holder_in(_told(at).filter(board_id=board.pk).order_by("-at", "-id")[:1])


def name_of(holder_id: int | None, me: Person) -> str:
    if holder_id is None or holder_id == me.pk:
        return "" if holder_id is None else me.name
    return Person.objects.values_list("name", flat=True).get(pk=holder_id)


def holders(board_ids: list[int], at: datetime | None = None) -> dict[int, int | None]:
    """Who has each of these boards in hand, in one query."""
    events: dict[int, list[Event]] = {}
    for event in _told(at).filter(board_id__in=board_ids):
        if event.board_id is not None:
            events.setdefault(event.board_id, []).append(event)
    return {board_id: holder_in(found) for board_id, found in events.items()}


def boards_in_hand(
    person: Person, at: datetime | None = None
) -> list[tuple[int, int | None]]:
    """The boards that a person holds, each with the ticket it was taken for."""
    held = _held(person)
    if at is not None:
        maybe = {board for board, _ticket in held} | _moved_after(at)
        held = _among(maybe, person, at)
    return held


def make_ready() -> None:
    """Before anybody asks: once, all that a person ever took is looked through."""
    for person in Person.objects.filter(is_active=True):
        boards_in_hand(person)


def _held(person: Person) -> list[tuple[int, int | None]]:
    """Now: among all boards once, then among those that may have come since."""
    name = f"diagnostics-in-hand-{person.pk}"
    kept: Kept | None = cache.get(name)
    newest = Event.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
    if kept is None:
        found = _among_all(person)
    else:
        found = _among(kept.boards | _taken_since(kept, person), person, None)
    now = Kept(newest, frozenset(board for board, _ticket in found))
    # What this transaction put down may yet be taken back.
    transaction.on_commit(lambda: cache.set(name, now, KEPT_SECONDS))
    return found


def _among_all(person: Person) -> list[tuple[int, int | None]]:
    later = _told(None).filter(
        Q(at__gt=OuterRef("at")) | Q(at=OuterRef("at"), pk__gt=OuterRef("pk")),
        board_id=OuterRef("board_id"),
    )
    taken = Event.objects.filter(kind=Kind.BOARD_TAKEN, person_id=person.pk)
    rows = taken.filter(~Exists(later)).order_by("at", "id")
    return [(b, t) for b, t in rows.values_list("board_id", "ticket_id") if b]


def _among(
    boards: Iterable[int], person: Person, at: datetime | None
) -> list[tuple[int, int | None]]:
    newest: dict[int, Event] = {}
    asked = sorted(boards)
    for first in range(0, len(asked), AT_ONCE):
        told = _told(at).filter(board_id__in=asked[first : first + AT_ONCE])
        newest |= {e.board_id: e for e in told.order_by("at", "id") if e.board_id}
    held = sorted(newest.values(), key=attrgetter("at", "pk"))
    return [
        (board, event.ticket_id)
        for event in held
        if (board := event.board_id) and _is_taking_by(person, event)
    ]


def _is_taking_by(person: Person, event: Event) -> bool:
    return event.kind == Kind.BOARD_TAKEN and event.person_id == person.pk


def _taken_since(kept: Kept, person: Person) -> set[int]:
    """By key alone: asked for a person or a kind, SQLite reads all there ever were."""
    rows = Event.objects.filter(pk__gt=kept.newest - TAIL).order_by()
    told = rows.values_list("kind", "person_id", "board_id")
    mine = (Kind.BOARD_TAKEN, person.pk)
    return {board for kind, who, board in told if (kind, who) == mine and board}


def _moved_after(at: datetime) -> set[int]:
    shops = list(Shop.objects.values_list("pk", flat=True))
    rows = _told(None).filter(shop_id__in=shops, at__gt=at).order_by()
    return {board for board in rows.values_list("board_id", flat=True) if board}


def end_of(person: Person, board: Board, at: datetime) -> datetime | None:
    """When a taking that lies back ended by what has happened since.

    ``None`` where it did not, or where its end is written already.
    """
    since = _told(None).filter(at__gt=at).order_by("at", "id")
    here = since.filter(board_id=board.pk).first()
    mine = since.filter(kind=Kind.BOARD_TAKEN, person_id=person.pk).first()
    if here is None or (mine is not None and mine.at < here.at):
        return mine.at if mine else None
    is_taken_over = here.kind == Kind.BOARD_TAKEN and here.person_id != person.pk
    return here.at - timedelta(microseconds=1) if is_taken_over else None


def taking_of(person: Person, event_id: int) -> Event | None:
    taken = Event.objects.filter(kind=Kind.BOARD_TAKEN, person_id=person.pk)
    return taken.filter(pk=event_id).first()


def newest_taking(person: Person) -> Event | None:
    taken = Event.objects.filter(kind=Kind.BOARD_TAKEN, person_id=person.pk)
    return taken.order_by("-at", "-id").first()


def is_newest(taken: Event) -> bool:
    """Whether its board is in that person's hands by this very taking."""
    here = _told(None).filter(board_id=taken.board_id).order_by("-at", "-id")
    mine = Event.objects.filter(kind=Kind.BOARD_TAKEN, person_id=taken.person_id)
    newest = mine.order_by("-at", "-id")
    return here.first() == taken and newest.first() == taken


def is_taken_back(taken: Event) -> bool:
    return _told(None).filter(board_id=taken.board_id, ids__undoes=taken.pk).exists()


def made_way(taken: Event) -> Event | None:
    """What the same person put down because of a taking."""
    down = Event.objects.filter(kind=Kind.BOARD_PUT_DOWN, person_id=taken.person_id)
    return down.filter(at=taken.at, ids__for=taken.pk).first()


def _told(at: datetime | None) -> QuerySet[Event]:
    events = Event.objects.filter(kind__in=IN_HAND)
    return events if at is None else events.filter(at__lte=at)
