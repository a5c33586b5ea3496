"""A person's day split over tickets: what the clock proposes to be recorded. PURE.

Minutes that were typed by hand are not proposed again, nor what an earlier
confirming has seen: only the difference is.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from shop.billing.clock_kinds import Course, kinds_of
from shop.billing.clocks import Mark, Stint
from shop.people.hours import Hours, is_open

MINUTE = timedelta(minutes=1)
SILENCE = timedelta(minutes=30)  # jd: a silence of a running clock that is told
NOWHERE = timedelta(minutes=15)  # jd: between two stints
Key = tuple[int, str]


@dataclass(frozen=True)
class Typed:
    """Minutes that somebody recorded by hand, and still stand."""

    ticket: int
    kind: str
    minutes: int


@dataclass(frozen=True)
class Share:
    """What of a day belongs to one ticket and kind, in minutes.

    ``clock`` is what the clock shows, ``seen`` what of it was confirmed, ``typed``
    what was recorded by hand beside it, ``minutes`` what is proposed now.
    """

    ticket: int
    kind: str
    start: datetime
    clock: int
    seen: int
    typed: int

    @property
    def minutes(self) -> int:
        return max(0, self.clock - self.seen - self.typed)


@dataclass(frozen=True)
class Gap:
    """A stretch without a sign of work; ``ticket`` whose clock ran on, if one did."""

    start: datetime
    end: datetime
    ticket: int | None

    @property
    def minutes(self) -> int:
        return (self.end - self.start) // MINUTE


def shares_of(
    stints: Iterable[Stint],
    courses: Mapping[int, Course],
    *,
    typed: Iterable[Typed] = (),
    seen: Mapping[Key, int] | None = None,
) -> tuple[Share, ...]:
    """The shares of one person's day, by the moment at which each began.

    Whole minutes, rounded down once for each ticket and kind, so that a day never
    holds more than has passed.
    """
    clock = defaultdict[Key, timedelta](timedelta)
    begun: dict[Key, datetime] = {}
    for stint in sorted(stints, key=lambda one: one.start):
        if not stint.ticket:
            continue
        for kind, length in kinds_of(stint, courses[stint.ticket]).items():
            clock[stint.ticket, kind] += length
            begun.setdefault((stint.ticket, kind), stint.start)
    minutes = {key: length // MINUTE for key, length in clock.items()}
    known = dict(seen or {})
    left = {key: max(0, count - known.get(key, 0)) for key, count in minutes.items()}
    taken = _taken(left, typed)
    return tuple(
        Share(*key, begun[key], minutes[key], known.get(key, 0), taken.get(key, 0))
        for key in minutes
    )


def _taken(left: Mapping[Key, int], typed: Iterable[Typed]) -> dict[Key, int]:
    """What typed minutes take of each share: of their own kind first, then of what
    else the ticket had."""
    room, taken = dict(left), defaultdict[Key, int](int)
    for entry in typed:
        rest = max(0, entry.minutes)
        own = (entry.ticket, entry.kind)
        others = sorted(k for k in room if k[0] == entry.ticket and k != own)
        for key in (own, *others):
            used = min(rest, room.get(key, 0))
            if used:
                room[key] -= used
                taken[key] += used
                rest -= used
    return taken


def silences_of(stint: Stint) -> list[Gap]:
    """Where a clock ran for half an hour and longer without a sign of work."""
    moments = [stint.start, *(sign.at for sign in stint.signs), stint.end]
    return [
        Gap(start, end, stint.ticket)
        for start, end in pairwise(moments)
        if end - start >= SILENCE
    ]


def gaps_of(
    stints: Iterable[Stint], loose: Iterable[Mark], hours: Hours
) -> tuple[Gap, ...]:
    """What of a person's day no clock holds, between their first mark and the last."""
    spans = [(one.start, one.end) for one in stints]
    spans += [(mark.at, mark.at) for mark in loose]
    spans.sort()
    gaps = list[Gap]()
    reached = spans[0][1] if spans else None
    for start, end in spans[1:]:
        assert reached is not None
        if start - reached >= NOWHERE and _is_open(hours, reached, start):
            gaps.append(Gap(reached, start, None))
        reached = max(reached, end)
    return tuple(gaps)


def _is_open(hours: Hours, start: datetime, end: datetime) -> bool:
    """Whether the shop is open at an end of a stretch; without hours it always is."""
    return not hours.week or is_open(hours, start) or is_open(hours, end)
