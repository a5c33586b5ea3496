"""Who has a board in hand: told by its newest taking or putting down.

The newest is the latest that happened, not the latest to be written: a tablet may
send what it kept while the network was away.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta

from django.db.models import Exists, OuterRef, Q, QuerySet

from diagnostics.models import Board
from shop.people.models import Person
from shop.records.kinds import Kind
from shop.records.models import Event

IN_HAND = (Kind.BOARD_TAKEN.value, Kind.BOARD_PUT_DOWN.value)


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
    later = _told(at).filter(
        Q(at__gt=OuterRef("at")) | Q(at=OuterRef("at"), pk__gt=OuterRef("pk")),
        board_id=OuterRef("board_id"),
    )
    taken = _told(at).filter(~Exists(later), kind=Kind.BOARD_TAKEN, person_id=person.pk)
    rows = taken.order_by("at", "id").values_list("board_id", "ticket_id")
    return [(board, ticket) for board, ticket in rows if board]


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
