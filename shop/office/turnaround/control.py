"""Between which limits a weekly figure moves by chance alone. PURE.

The chart of individuals: the mean, and three sigma to both sides, sigma being the mean
moving range over 1.128 (d2 of two), so 2.66 mean moving ranges. Source: NIST/SEMATECH
e-Handbook of Statistical Methods, 6.3.2.2.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean

D2_OF_TWO = 1.128
FEWEST_WEEKS = 8  # judgement: limits of fewer move with each new one


@dataclass(frozen=True)
class Limits:
    centre: float
    low: float
    high: float

    def has(self, value: float) -> bool:
        return self.low <= value <= self.high


def limits(values: Sequence[float]) -> Limits | None:
    """``None`` while there are fewer than eight."""
    if len(values) < FEWEST_WEEKS:
        return None
    centre = fmean(values)
    ranges = [abs(later - earlier) for earlier, later in pairwise(values)]
    reach = 3 * fmean(ranges) / D2_OF_TWO
    return Limits(centre, centre - reach, centre + reach)
