"""Open tickets by whose turn it is and how many days they are here. PURE.

The classes are those of the money that is owed: 0-3, 4-7, 8-14, 15-30, over 30 days.
"""

from collections.abc import Iterable
from datetime import timedelta

from shop.books.posting.ageing import BUCKETS, bucket_of
from shop.intake.turn import Whose

TURNS = (Whose.OURS, Whose.CUSTOMER, Whose.SUPPLIER, Whose.HANDOVER)
CLASSES = len(BUCKETS) + 1


def aged(tickets: Iterable[tuple[Whose, timedelta]]) -> list[list[int]]:
    """How many, by turn and class of whole days.

    >>> day = timedelta(days=1)
    >>> aged([(Whose.OURS, 3.9 * day), (Whose.SUPPLIER, 31 * day)])
    [[1, 0, 0, 0, 0], [0, 0, 0, 0, 0], [0, 0, 0, 0, 1], [0, 0, 0, 0, 0]]
    """
    counts = {turn: [0] * CLASSES for turn in TURNS}
    for whose, age in tickets:
        counts[whose][bucket_of(max(age.days, 0))] += 1
    return list(counts.values())
