"""Opening hours and closed days: when the shop is open, and for how long. PURE.

Hours are wall-clock times of the shop's zone; moments are aware. Minutes are minutes
that pass, so a night that loses an hour to summer time has one hour less.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta, tzinfo

FARTHEST = 400  # days that are looked ahead; who is closed longer has no next opening
DAY = timedelta(days=1)


@dataclass(frozen=True)
class Span:
    """From when until when a shop is open; ``closes`` at 00:00 means midnight."""

    opens: time
    closes: time


@dataclass(frozen=True)
class Hours:
    """The week (Monday is 0) and the days on which it does not hold."""

    zone: tzinfo
    week: Mapping[int, tuple[Span, ...]]
    closed: frozenset[date] = field(default_factory=frozenset)

    def spans(self, day: date) -> tuple[Span, ...]:
        return () if day in self.closed else self.week.get(day.weekday(), ())


def open_on(hours: Hours, day: date) -> list[tuple[datetime, datetime]]:
    """The stretches of a day as moments in UTC, in their order."""
    found = []
    for span in sorted(hours.spans(day), key=lambda one: one.opens):
        last = day + DAY if span.closes == time() else day
        start, end = (
            datetime.combine(when, clock, hours.zone).astimezone(UTC)
            for when, clock in ((day, span.opens), (last, span.closes))
        )
        if end > start:
            found.append((start, end))
    return found


def is_open(hours: Hours, at: datetime) -> bool:
    day = at.astimezone(hours.zone).date()
    return any(start <= at < end for start, end in open_on(hours, day))


def next_opening(hours: Hours, at: datetime) -> datetime | None:
    """The next moment at which the shop opens, after ``at``; ``None`` if never."""
    first = at.astimezone(hours.zone).date()
    for day in _days(first, FARTHEST):
        for start, _end in open_on(hours, day):
            if start > at:
                return start
    return None


def open_minutes(hours: Hours, since: datetime, until: datetime) -> int:
    """Whole minutes that the shop was open between two moments; 0 if none.

    >>> week = {0: (Span(time(9), time(17)),)}
    >>> monday = datetime(2026, 3, 2, 16, tzinfo=UTC)
    >>> open_minutes(Hours(UTC, week), monday, monday + timedelta(days=7))
    480
    """
    if until <= since:
        return 0
    first, last = (at.astimezone(hours.zone).date() for at in (since, until))
    seconds = sum(
        max(0.0, (min(end, until) - max(start, since)).total_seconds())
        for day in _days(first, (last - first).days)
        for start, end in open_on(hours, day)
    )
    return int(seconds // 60)


def add_working_days(hours: Hours, day: date, count: int) -> date | None:
    """The ``count``-th day after ``day`` on which the shop opens."""
    left = count
    for later in _days(day + DAY, FARTHEST):
        left -= bool(hours.spans(later))
        if left == 0:
            return later
    return None


def end_of_working_day(hours: Hours, at: datetime, count: int) -> datetime | None:
    """When the shop closes on the ``count``-th working day after ``at``."""
    day = add_working_days(hours, at.astimezone(hours.zone).date(), count)
    stretches = [] if day is None else open_on(hours, day)
    return stretches[-1][1] if stretches else None


def _days(first: date, count: int) -> Iterator[date]:
    return (first + timedelta(days=n) for n in range(count + 1))
