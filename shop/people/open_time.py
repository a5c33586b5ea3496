"""A clock that runs only while the shop is open. PURE.

Many spans of one shop are measured on one such clock: each is two look-ups. Between
two openings it stands still; summer time and closed days are those of ``hours``.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from itertools import accumulate

from shop.people.hours import DAY, Hours, open_on

NOTHING = timedelta()


class OpenTime:
    """The shop's open time from one day to another, both included."""

    def __init__(self, hours: Hours, first: date, last: date) -> None:
        days = (first + DAY * n for n in range((last - first).days + 1))
        stretches = [one for day in days for one in open_on(hours, day)]
        self._starts: Sequence[datetime] = [start for start, _end in stretches]
        self._ends: Sequence[datetime] = [end for _start, end in stretches]
        lengths = (end - start for start, end in stretches)
        self._open_until = list(accumulate(lengths, initial=NOTHING))

    def reading(self, at: datetime) -> timedelta:
        """How long the shop was open from the first day until ``at``."""
        begun = bisect_right(self._starts, at)
        if begun == 0:
            return NOTHING
        still_to_come = max(NOTHING, self._ends[begun - 1] - at)
        return self._open_until[begun] - still_to_come

    def between(self, since: datetime, until: datetime) -> timedelta:
        """
        >>> from datetime import UTC, time
        >>> from shop.people.hours import Span
        >>> clock = OpenTime(Hours(UTC, {0: (Span(time(9), time(17)),)}),
        ...                  date(2026, 3, 2), date(2026, 3, 9))
        >>> monday = datetime(2026, 3, 2, 16, tzinfo=UTC)
        >>> print(clock.between(monday, monday + timedelta(days=7)))
        8:00:00
        """
        return max(NOTHING, self.reading(until) - self.reading(since))

    def after(self, since: datetime, span: timedelta) -> datetime | None:
        """When the shop will have been open for ``span``; ``None`` past the last day.

        A span that ends as the shop closes ends then, not at the next opening.
        """
        wanted = self.reading(since) + span
        if not self._starts or wanted > self._open_until[-1]:
            return None
        place = max(bisect_left(self._open_until, wanted), 1)
        return self._ends[place - 1] - (self._open_until[place] - wanted)
