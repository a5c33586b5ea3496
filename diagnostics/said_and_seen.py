"""What is loaded of boards: their rows, what was said and seen, and by whom."""

from collections.abc import Iterable, Mapping, Sequence
from typing import TypeVar

from diagnostics.models import (
    ConditionSet,
    GateOverride,
    Intervention,
    PassedBy,
    Reading,
    Sighting,
    SuspectWord,
)
from shop.people.models import Person
from shop.records.kinds import Kind
from shop.records.models import Event

Row = TypeVar(
    "Row",
    Event,
    Reading,
    Intervention,
    GateOverride,
    SuspectWord,
    Sighting,
    ConditionSet,
    PassedBy,
)

Told = (
    Event
    | Reading
    | Intervention
    | GateOverride
    | SuspectWord
    | Sighting
    | ConditionSet
    | PassedBy
)


def said_and_seen(
    ids: list[int],
) -> tuple[dict[int, list[SuspectWord]], dict[int, list[Sighting]]]:
    """By board id; what was said of suspects ends with its ticket."""
    words = SuspectWord.objects.filter(board_id__in=ids).exclude(
        ticket__handover__isnull=False
    )
    sightings = Sighting.objects.filter(board_id__in=ids)
    return (
        by_board(words.select_related("note").order_by("id")),
        by_board(sightings.order_by("id")),
    )


def by_board(rows: Iterable[Row]) -> dict[int, list[Row]]:
    found: dict[int, list[Row]] = {}
    for row in rows:
        if row.board_id is not None:
            found.setdefault(row.board_id, []).append(row)
    return found


def name_all(*loaded: Mapping[int, Sequence[Told]]) -> None:
    """Give each row whoever did it: one query for all, where a join each costs more."""
    rows = [row for rows in loaded for of_board in rows.values() for row in of_board]
    people = Person.objects.in_bulk({row.by_id for row in rows if row.by_id})
    for row in rows:
        if row.by_id is not None:
            row.by = people[row.by_id]


def unstruck(seen: list[Sighting], events: list[Event]) -> tuple[Sighting, ...]:
    """The sightings that no event has struck."""
    struck = {e.ids.get("sighting") for e in events if e.kind == Kind.SIGHTING_STRUCK}
    return tuple(one for one in seen if one.pk not in struck)
