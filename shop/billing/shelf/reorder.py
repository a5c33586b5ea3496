"""When to order again: from what is used and how long it takes to come. PURE.

``point = demand in the lead time + safety stock``, where the safety stock is z times
the standard deviation of the demand in the lead time,
``sqrt(lead * sd_demand^2 + demand^2 * sd_lead^2)``: demand and lead time are taken
for independent and normal (Stevenson, Operations Management, chapter 12, formulas
12-13 to 12-15). A shop uses few pieces of most parts, for which this is coarse: so it
says nothing until enough was used and came, and the point is rounded up.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, sqrt
from statistics import NormalDist, fmean, stdev

# How rarely the shelf may be empty while more is on its way (jd).
SERVICE = 0.95
# Below these a point would be a guess (jd).
LEAST_USES, LEAST_DELIVERIES = 8, 3
# What is ordered at once beyond the point: the demand of so many days (jd).
ORDERED_FOR_DAYS = 30


@dataclass(frozen=True)
class TooFew:
    """Not enough was seen yet; how much was."""

    uses: int
    deliveries: int


@dataclass(frozen=True)
class Point:
    """Order again at ``at`` pieces or fewer; ``up_to`` is what to order up to.

    ``demand`` is pieces a day, ``lead`` days, ``safety`` pieces.
    """

    at: int
    up_to: int
    demand: float
    lead: float
    safety: float


def safety_stock(
    demand: float, demand_sd: float, lead: float, lead_sd: float, z: float
) -> float:
    """Pieces; ``demand`` and its deviation per day, ``lead`` in days."""
    return z * sqrt(lead * demand_sd**2 + demand**2 * lead_sd**2)


def point_of(used: Sequence[int], leads: Sequence[float]) -> Point | TooFew:
    """The point from the pieces ``used`` on each day and the ``leads`` in days."""
    uses = sum(used)
    if uses < LEAST_USES or len(leads) < LEAST_DELIVERIES or len(used) < 2:
        return TooFew(uses, len(leads))
    demand, lead = fmean(used), fmean(leads)
    z = NormalDist().inv_cdf(SERVICE)
    safety = safety_stock(demand, stdev(used), lead, stdev(leads), z)
    at = ceil(demand * lead + safety)
    return Point(at, ceil(at + demand * ORDERED_FOR_DAYS), demand, lead, safety)


def to_order(*, up_to: int, at: int, position: int) -> int:
    """How many to order; ``position`` is what is free plus what is on its way.

    >>> to_order(up_to=20, at=8, position=8), to_order(up_to=20, at=8, position=9)
    (12, 0)
    """
    return max(up_to - position, 1) if position <= at else 0
