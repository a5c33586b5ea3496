"""Which readings are to be taken again, at the same point and in the same way."""

from collections.abc import Iterator
from dataclasses import dataclass

from diagnostics import passing, seeing
from diagnostics.bridge import HOUSEKEEPING, Judged, Known, like_of
from diagnostics.engine.yardsticks import Word
from diagnostics.models import ReadingOutcome
from shop.intake.models import Ticket

# Main, the supply's current off and running, and the hottest part: read on both sides
# of every repair (domain brief, section 8).
BOTH_SIDES = ("k06/main", "k08/atx.12cpu", "k24/supply", "k51/supply", "k52/hottest")


@dataclass(frozen=True)
class Again:
    """A point that is to be read again, with what was read of it before.

    ``last`` is what was read since, where that does not settle it.
    """

    before: Judged
    last: Judged | None

    @property
    def is_failing(self) -> bool:
        return self.before.verdict.word is Word.BAD

    @property
    def is_otherwise(self) -> bool:
        """Read since, but not in the same way."""
        return self.last is not None and not is_like(self.before, self.last)


def to_read(known: Known, ticket: Ticket) -> list[Again]:
    """What was wrong, and what every repair is measured by, and is not read since.

    Without work done there is no "since".
    """
    found = list(_to_read(known, ticket)) if known.work else []
    order = {point_id: place for place, point_id in enumerate(known.board.points)}
    return sorted(found, key=lambda one: order[one.before.point.id])


def _to_read(known: Known, ticket: Ticket) -> Iterator[Again]:
    for point_id, read in of_points(known, ticket).items():
        before = _before(read, point_id)
        if before is None or not known.board.is_fitted(point_id):
            continue
        if any(settles(known, before, later) for later in read):
            continue
        later = [one for one in read if is_fresh(known, one) and one is not before]
        yield Again(before, later[-1] if later else None)


def of_points(known: Known, ticket: Ticket) -> dict[str, list[Judged]]:
    """Our readings of this ticket, point by point, oldest first; no looks."""
    read: dict[str, list[Judged]] = {}
    for one in passing.our_judged(known):
        is_ours = one.reading.ticket_id == ticket.pk
        is_told = one.check.id in HOUSEKEEPING or seeing.is_look(one.check)
        if is_ours and not is_told:
            read.setdefault(one.reading.point_id, []).append(one)
    return read


def _before(read: list[Judged], point_id: str) -> Judged | None:
    """The newest wrong reading; else the first of a point that is read twice."""
    for word in (Word.BAD, Word.WATCH):
        wrong = [one for one in read if one.verdict.word is word]
        if wrong:
            return wrong[-1]
    return read[0] if point_id in BOTH_SIDES else None


def settles(known: Known, before: Judged, later: Judged) -> bool:
    """Read after ``before`` and after the work, the same way, and in band."""
    a, b = before.reading, later.reading
    if not is_fresh(known, later) or (b.taken_at, b.pk) < (a.taken_at, a.pk):
        return False
    if later.reading.outcome == ReadingOutcome.NOT_FITTED:
        return True
    if later is before or not is_like(before, later):
        return False
    return before.verdict.word is not Word.BAD or later.verdict.word is Word.GOOD


def is_like(one: Judged, other: Judged) -> bool:
    """Taken in the same way: mode, condition, probes, leads, and what was fitted."""
    a, b = one.reading, other.reading
    same = (a.mode, a.is_four_wire) == (b.mode, b.is_four_wire)
    return same and like_of(a) == like_of(b)


def is_fresh(known: Known, one: Judged) -> bool:
    """No work since has touched what was read there."""
    if one.reading.epoch < known.back_since:
        return False
    return not any(
        passing.touches(known, done, one.point)
        for done in known.interventions
        if done.epoch > one.reading.epoch
    )


def failing(known: Known, ticket: Ticket) -> list[Again]:
    """What failed and is not in band now, work done or not."""
    return [
        Again(wrong[-1], None)
        for read in of_points(known, ticket).values()
        if (wrong := [one for one in read if one.verdict.word is Word.BAD])
        and known.board.is_fitted(wrong[-1].point.id)
        and not any(settles(known, wrong[-1], later) for later in read)
    ]


def read_points(known: Known, ticket: Ticket) -> int:
    return len(of_points(known, ticket))
