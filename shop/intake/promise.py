"""How long tickets usually take, and by when one may be promised. PURE.

Turnaround runs from taking in until the bench has ended its work, in hours that the
shop was open. Tickets that are still open, or that the customer called off, are
censored: they took at least that long (product-limit estimate, Kaplan and Meier,
J. Am. Stat. Assoc. 53, 1958, 457-481). The shares below are judgement. Its few lines
stand here since importing scipy.stats takes longer than a page may; the tests hold
them to ``scipy.stats.ecdf``.
"""

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

PROMISED_SHARE = 0.8  # of such tickets are ready by the day that is suggested
USUAL_SHARE = 0.5  # of those as old are ready after what they "usually still take"
LEAST_ALIKE, LEAST_OF_ALL = 20, 10  # tickets that were ready
ROUNDING = 1e-12


def late_by(promised: datetime, now: datetime, zone: tzinfo) -> timedelta:
    """In days of the shop's calendar, as people count them; on the day itself in hours.

    >>> then = datetime.fromisoformat("2026-03-02T17:00Z")
    >>> late_by(then, datetime.fromisoformat("2026-03-05T09:00Z"), then.tzinfo).days
    3
    """
    days = now.astimezone(zone).date() - promised.astimezone(zone).date()
    return days or now - promised


@dataclass(frozen=True)
class Stay:
    """One ticket's hours so far, whether they ended, and what it is like.

    ``alike``: what it has in common with others, the most telling first.
    """

    hours: float
    is_ready: bool
    alike: tuple[str, ...] = ()


@dataclass(frozen=True)
class Usual:
    """What the shop's own tickets took: the product-limit estimate.

    ``hours``: (n,) when at least one was ready, ascending; ``open_share``: (n,) the
    share that takes longer; ``count`` tickets were ready, ``alike`` says what they
    have in common ("" for all).
    """

    hours: Sequence[float]
    open_share: Sequence[float]
    count: int
    alike: str = ""

    def takes(self, share: float, age: float = 0.0) -> float | None:
        """Hours from taking in until that share of those as old is ready.

        Given ``age`` hours passed already, by conditional survival. ``None`` where
        too few were ever seen to get that far.
        """
        before = bisect_right(self.hours, age)
        still_open = self.open_share[before - 1] if before else 1.0
        left = (1.0 - share) * still_open
        later = zip(self.hours[before:], self.open_share[before:], strict=True)
        return next((at for at, share in later if share <= left + ROUNDING), None)

    @property
    def longest(self) -> float:
        return self.hours[-1]


def usual(stays: Sequence[Stay], alike: Sequence[str] = ()) -> Usual | None:
    """Of tickets alike where enough were ready, else of all; ``None`` before that."""
    for what in alike:
        same = [stay for stay in stays if what in stay.alike]
        if (found := _estimate(same, LEAST_ALIKE, what)) is not None:
            return found
    return _estimate(stays, LEAST_OF_ALL, "")


def ready_count(stays: Iterable[Stay]) -> int:
    return sum(stay.is_ready for stay in stays)


def _estimate(stays: Sequence[Stay], least: int, alike: str) -> Usual | None:
    count = ready_count(stays)
    if count < least:
        return None
    hours, open_share = zip(*_steps(stays), strict=True)
    return Usual(hours, open_share, count, alike)


def _steps(stays: Sequence[Stay]) -> Iterator[tuple[float, float]]:
    """When one or more were ready, and the share that takes longer.

    What is censored at that very moment counts as still there.
    """
    ready = Counter(stay.hours for stay in stays if stay.is_ready)
    every = sorted(stay.hours for stay in stays)
    share = 1.0
    for at in sorted(ready):
        there = len(every) - bisect_left(every, at)
        share *= 1 - ready[at] / there
        yield at, share
