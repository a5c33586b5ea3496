"""Who has a board in hand: told by its newest taking or putting down."""

from diagnostics.models import Board
from shop.people.models import Person
from shop.records.kinds import Kind
from shop.records.models import Event

IN_HAND = (Kind.BOARD_TAKEN.value, Kind.BOARD_PUT_DOWN.value)


def holder_in(events: list[Event]) -> int | None:
    """Who has the board in hand, by its newest taking or putting down."""
    newest = [e for e in events if e.kind in IN_HAND][-1:]
    if newest and newest[0].kind == Kind.BOARD_TAKEN:
        return newest[0].person_id
    return None


def holder_of(board: Board) -> int | None:
    events = Event.objects.filter(board_id=board.pk, kind__in=IN_HAND)
    return holder_in(list(events.order_by("-id")[:1]))


def name_of(holder_id: int | None, me: Person) -> str:
    if holder_id is None or holder_id == me.pk:
        return "" if holder_id is None else me.name
    return Person.objects.values_list("name", flat=True).get(pk=holder_id)


def holders(board_ids: list[int]) -> dict[int, int | None]:
    """Who has each of these boards in hand, in one query."""
    events: dict[int, list[Event]] = {}
    for event in Event.objects.filter(
        board_id__in=board_ids, kind__in=IN_HAND
    ).order_by("id"):
        if event.board_id is not None:
            events.setdefault(event.board_id, []).append(event)
    return {board_id: holder_in(found) for board_id, found in events.items()}


def boards_in_hand(person: Person) -> list[tuple[int, int | None]]:
    """The boards that a person holds now, each with the ticket it was taken for."""
    taken = Event.objects.filter(kind=Kind.BOARD_TAKEN, person_id=person.pk)
    boards = [pk for pk in taken.values_list("board_id", flat=True).distinct() if pk]
    held = [pk for pk, holder in holders(boards).items() if holder == person.pk]
    tickets = dict(
        taken.filter(board_id__in=held)
        .order_by("id")
        .values_list("board_id", "ticket_id")
    )
    return [(pk, tickets[pk]) for pk in held]
