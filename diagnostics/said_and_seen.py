"""What was said of a board's suspects and seen of it, loaded beside its readings."""

from collections.abc import Iterable
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


def said_and_seen(
    ids: list[int],
) -> tuple[dict[int, list[SuspectWord]], dict[int, list[Sighting]]]:
    """By board id; what was said of suspects ends with its ticket."""
    words = SuspectWord.objects.filter(board_id__in=ids).exclude(
        ticket__handover__isnull=False
    )
    sightings = Sighting.objects.filter(board_id__in=ids).select_related("by")
    return (
        by_board(words.select_related("by", "note").order_by("id")),
        by_board(sightings.order_by("id")),
    )


def by_board(rows: Iterable[Row]) -> dict[int, list[Row]]:
    found: dict[int, list[Row]] = {}
    for row in rows:
        if row.board_id is not None:
            found.setdefault(row.board_id, []).append(row)
    return found


def unstruck(seen: list[Sighting], events: list[Event]) -> tuple[Sighting, ...]:
    """The sightings that no event has struck."""
    struck = {e.ids.get("sighting") for e in events if e.kind == Kind.SIGHTING_STRUCK}
    return tuple(one for one in seen if one.pk not in struck)
