"""The weeks and months of a period by the wall clock of a zone. PURE.

A week begins on Monday (ISO 8601). At the ends of the period pieces are cut off:
``is_whole`` says whether one lies in it from end to end.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo

WEEK = timedelta(days=7)
MONTHS_A_YEAR = 12


@dataclass(frozen=True)
class Stretch:
    """From ``start`` until before ``end``, begun on ``day``; aware moments."""

    day: date
    start: datetime
    end: datetime
    is_whole: bool


def weeks(since: datetime, until: datetime, zone: tzinfo) -> list[Stretch]:
    first = since.astimezone(zone).date()
    return list(_cut(first - timedelta(days=first.weekday()), since, until, zone, None))


def months(
    since: datetime, until: datetime, zone: tzinfo, several: int = 1
) -> list[Stretch]:
    """Calendar months, or as many at a time (3: quarters of the year)."""
    first = since.astimezone(zone).date()
    before = (first.month - 1) % several
    begin = first.replace(month=first.month - before, day=1)
    return list(_cut(begin, since, until, zone, several))


def _cut(
    day: date, since: datetime, until: datetime, zone: tzinfo, several: int | None
) -> Iterator[Stretch]:
    start = _begins(day, zone)
    while start < until:
        following = day + WEEK if several is None else _months_on(day, several)
        end = _begins(following, zone)
        is_whole = since <= start and end <= until
        if since < min(end, until):
            yield Stretch(day, max(start, since), min(end, until), is_whole)
        day, start = following, end


def _begins(day: date, zone: tzinfo) -> datetime:
    return datetime.combine(day, time(), zone)


def _months_on(day: date, several: int) -> date:
    years, month = divmod(day.month - 1 + several, MONTHS_A_YEAR)
    return date(day.year + years, month + 1, 1)
