"""Open invoices by how long they are due: the buckets of domain.md, section 9. PURE."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

# The last day of each; what is older is in the last one.
BUCKETS = (3, 7, 14, 30)
NOT_DUE = -1


def bucket_of(days_late: int) -> int:
    """Which bucket; ``NOT_DUE`` before the due day has passed.

    >>> [bucket_of(days) for days in (-1, 0, 1, 3, 4, 7, 8, 14, 15, 30, 31)]
    [-1, 0, 0, 0, 1, 1, 2, 2, 3, 3, 4]
    """
    if days_late < 0:
        return NOT_DUE
    return next((n for n, last in enumerate(BUCKETS) if days_late <= last), 4)


@dataclass(frozen=True)
class Open:
    """An invoice that is not paid whole, in minor units."""

    pk: int
    number: str
    buyer: str
    due_on: date
    owed: int
    currency: str = ""

    def days_late(self, today: date) -> int:
        return (today - self.due_on).days


@dataclass(frozen=True)
class Aged:
    """Sums of open invoices: not due yet, the five buckets, and all together."""

    not_due: int
    buckets: tuple[int, ...]

    @property
    def total(self) -> int:
        return self.not_due + sum(self.buckets)


def aged(invoices: Iterable[Open], today: date) -> Aged:
    sums = dict.fromkeys(range(NOT_DUE, len(BUCKETS) + 1), 0)
    for one in invoices:
        sums[bucket_of(one.days_late(today))] += one.owed
    not_due, *buckets = sums.values()
    return Aged(not_due, tuple(buckets))


def by_buyer(
    invoices: Iterable[Open], today: date
) -> list[tuple[str, Aged, list[Open]]]:
    """The same by customer, who owes most first; each with the oldest on top."""
    groups: dict[str, list[Open]] = {}
    for one in invoices:
        groups.setdefault(one.buyer, []).append(one)
    rows = [
        (buyer, aged(found, today), sorted(found, key=lambda one: one.due_on))
        for buyer, found in groups.items()
    ]
    return sorted(rows, key=lambda row: (-row[1].total, row[0]))


def spread(owed: int, totals: Sequence[int]) -> list[int]:
    """What a job owes, on its invoices in order: the oldest is paid first.

    >>> spread(150, [100, 80, 40])
    [30, 80, 40]
    """
    left, shares = owed, list[int]()
    for whole in reversed(totals):
        shares.insert(0, min(left, whole))
        left -= shares[0]
    return shares
