"""Which backups are kept: the last of each of 7 days and of each of 5 weeks. PURE."""

from collections.abc import Callable, Collection, Hashable
from datetime import datetime

DAYS = 7
WEEKS = 5


def to_keep(made: Collection[datetime]) -> set[datetime]:
    """The newest of each of the last days and ISO weeks that have any.

    Days without a backup don't count, so that a shop that was closed for a month
    still has the last ones.
    """
    days = _newest(made, lambda one: one.date(), DAYS)
    weeks = _newest(made, lambda one: one.isocalendar()[:2], WEEKS)
    return days | weeks


def _newest(
    made: Collection[datetime], span: Callable[[datetime], Hashable], most: int
) -> set[datetime]:
    newest: dict[Hashable, datetime] = {}
    for one in sorted(made, reverse=True):
        newest.setdefault(span(one), one)
    return set(list(newest.values())[:most])
