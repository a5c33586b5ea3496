"""When a job is due next, and when it is tried again. PURE."""

from datetime import UTC, datetime, time, timedelta, tzinfo

FIRST_WAIT = timedelta(minutes=1)
LONGEST_WAIT = timedelta(hours=6)
ONE_DAY = timedelta(days=1)


def back_off(failures: int, first: timedelta = FIRST_WAIT) -> timedelta:
    """How long to wait after so many failures in a row (1 or more): 1, 2, 4 ...

    >>> [back_off(n).total_seconds() / 60 for n in (1, 2, 3, 9, 10, 1000)]
    [1.0, 2.0, 4.0, 256.0, 360.0, 360.0]
    """
    doublings = min(failures - 1, 30)
    return min(first * (1 << doublings), LONGEST_WAIT)


def next_daily(after: datetime, at: time, zone: tzinfo) -> datetime:
    """The next moment at which it is ``at`` on the wall of ``zone``.

    Once a day also where the clocks change: an hour that comes twice counts when
    it first comes, one that is left out is the same hour by the old time.

    >>> from zoneinfo import ZoneInfo
    >>> paris = ZoneInfo("Europe/Paris")  # 29 March 2026: 2:30 is left out
    >>> for day in (28, 29, 30):
    ...     start = datetime(2026, 3, day, 0, 0, tzinfo=UTC)
    ...     print(next_daily(start, time(2, 30), paris))
    2026-03-28 01:30:00+00:00
    2026-03-29 01:30:00+00:00
    2026-03-30 00:30:00+00:00
    """
    today = after.astimezone(zone).date()
    for day in (today, today + ONE_DAY):
        moment = datetime.combine(day, at, tzinfo=zone).astimezone(UTC)
        if moment > after:
            return moment
    raise AssertionError("one of two days lies ahead")
