"""A time of some months in a few equal spans, by the calendar. PURE."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo

MOST = 6  # dots that a small picture bears
MONTHS = 12


@dataclass(frozen=True)
class Span:
    """From ``since`` until before ``until``."""

    since: datetime
    until: datetime


def months_of(since: datetime, until: datetime, zone: tzinfo) -> list[Span]:
    """The calendar's months in a time, the first and the last cut to it.

    >>> from datetime import UTC
    >>> found = months_of(
    ...     datetime(2026, 1, 20, tzinfo=UTC), datetime(2026, 3, 5, tzinfo=UTC), UTC
    ... )
    >>> [(one.since.day, one.until.month) for one in found]
    [(20, 2), (1, 3), (1, 3)]
    """
    found = []
    start = since
    while start < until:
        end = min(_next_month(start.astimezone(zone)), until)
        found.append(Span(start, end))
        start = end
    return found


def spans_of(since: datetime, until: datetime, zone: tzinfo) -> list[Span]:
    """At most six, of as many months each; the first may be shorter."""
    months = months_of(since, until, zone)
    each = -(-len(months) // MOST)
    if not months:
        return []
    first = len(months) % each or each
    ends = range(first, len(months) + 1, each)
    return [_joined(months[max(0, end - each) : end]) for end in ends]


def _joined(months: Sequence[Span]) -> Span:
    return Span(months[0].since, months[-1].until)


def _next_month(when: datetime) -> datetime:
    years, month = divmod(when.month, MONTHS)
    bare = datetime(when.year + years, month + 1, 1)  # noqa: DTZ001  set just below
    return bare.replace(tzinfo=when.tzinfo)
