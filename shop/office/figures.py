"""The office's figures. PURE: plain rows in, numbers out.

A mean of fewer than three tickets is not given: it would be an anecdote.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from shop.intake.turn import Piece, Whose

FEWEST = 3
DAY = timedelta(days=1)


@dataclass(frozen=True)
class Split:
    """Mean days of a ticket by whose turn it was; the parts add up to total."""

    ours: float
    customer: float
    supplier: float
    handover: float
    total: float
    tickets: int


def days_of(pieces: Sequence[Piece], whose: Whose) -> float:
    """Days of one ticket that were somebody's turn."""
    spent = (p.end - p.start for p in pieces if p.whose == whose)
    return sum(spent, timedelta()) / DAY


def mean_split(tickets: Sequence[Sequence[Piece]]) -> Split | None:
    """The turnaround split of closed tickets; None while there are too few."""
    count = len(tickets)
    if count < FEWEST:
        return None
    means = {
        whose: sum(days_of(pieces, whose) for pieces in tickets) / count
        for whose in (Whose.OURS, Whose.CUSTOMER, Whose.SUPPLIER, Whose.HANDOVER)
    }
    return Split(
        ours=means[Whose.OURS],
        customer=means[Whose.CUSTOMER],
        supplier=means[Whose.SUPPLIER],
        handover=means[Whose.HANDOVER],
        total=sum(means.values()),
        tickets=count,
    )
