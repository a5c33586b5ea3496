"""Whose turn the time of a ticket was, in whole seconds that add up. PURE.

Each boundary is rounded, not each stretch: so the parts are the whole exactly.
"""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import NamedTuple

from shop.intake.turn import IN_HANDS, PARKED, QUEUE, Piece, Whose

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
SECOND = timedelta(seconds=1)
DAY = 24 * 60 * 60
PLACES = {
    (Whose.OURS, QUEUE): 0,
    (Whose.OURS, IN_HANDS): 1,
    (Whose.OURS, PARKED): 2,
    (Whose.CUSTOMER, ""): 3,
    (Whose.SUPPLIER, ""): 4,
    (Whose.HANDOVER, ""): 5,
}


class Parts(NamedTuple):
    """Seconds; the first three are ours."""

    queue: int = 0
    hands: int = 0
    parked: int = 0
    customer: int = 0
    supplier: int = 0
    handover: int = 0


def seconds(moment: datetime) -> int:
    """Whole seconds since 1970, rounded down."""
    return (moment - EPOCH) // SECOND


def parts_of(pieces: Sequence[Piece]) -> Parts:
    spent = [0] * len(PLACES)
    for piece in pieces:
        place = PLACES[piece.whose, piece.part]
        spent[place] += seconds(piece.end) - seconds(piece.start)
    return Parts(*spent)


def shown_tenths(days: Sequence[float]) -> list[float]:
    """Rounded to tenths so that they add up to the rounded sum (largest remainders).

    >>> shown_tenths([1.25, 1.25, 1.25])
    [1.3, 1.3, 1.2]
    """
    tenths = [10 * one for one in days]
    shown = [int(one) for one in tenths]
    missing = round(sum(tenths)) - sum(shown)
    order = sorted(range(len(days)), key=lambda k: shown[k] - tenths[k])
    for place in order[:missing]:
        shown[place] += 1
    return [one / 10 for one in shown]
