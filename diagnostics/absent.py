"""What a board lacks: marked by hand, or said at a point instead of a reading."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from diagnostics.models import Reading, ReadingOutcome
from shop.people.models import Person
from shop.records.kinds import Kind
from shop.records.models import Event


@dataclass(frozen=True)
class Mark:
    """Somebody said whether a stage, rail or point is on the board."""

    what: str
    is_fitted: bool
    at: datetime
    said: Event | Reading

    @property
    def by(self) -> Person | None:
        return self.said.by


Marks = Mapping[str, Mark]


def marks_of(events: Iterable[Event], standing: Iterable[Reading]) -> Marks:
    """What is not on this board, by id: the newest mark or reading of each counts."""
    said = [*_by_hand(events), *_at_points(standing)]
    newest = {one.what: one for one in sorted(said, key=_when)}
    return {what: mark for what, mark in newest.items() if not mark.is_fitted}


def _by_hand(events: Iterable[Event]) -> Iterable[Mark]:
    for one in events:
        if one.kind == Kind.POINT_NOT_FITTED:
            is_fitted = bool(one.codes.get("is_fitted"))
            yield Mark(str(one.codes["what"]), is_fitted, one.at, one)


def _at_points(standing: Iterable[Reading]) -> Iterable[Mark]:
    for one in standing:
        if one.outcome == ReadingOutcome.NOT_FITTED:
            yield Mark(one.point_id, False, one.taken_at, one)


def _when(mark: Mark) -> datetime:
    return mark.at
