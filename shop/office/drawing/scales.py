"""From a value to a place, and where the ticks of an axis stand. PURE.

The ticks are Heckbert's ("Nice Numbers for Graph Labels", Graphics Gems, 1990).
"""

from dataclasses import dataclass
from math import ceil, floor, log10

# The rounder of a digit, each up to its limit.
NEAREST = ((1.5, 1.0), (3.0, 2.0), (7.0, 5.0))
NOT_BELOW = ((1.0, 1.0), (2.0, 2.0), (5.0, 5.0))


@dataclass(frozen=True)
class Scale:
    """A straight line from ``low`` to ``high`` laid on ``start`` to ``end``."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """Where the value stands; outside values stand at the nearer end."""
        if self.high == self.low:
            return self.start
        held = min(max(value, self.low), self.high)
        share = (held - self.low) / (self.high - self.low)
        return self.start + share * (self.end - self.start)


def nice(value: float, *, nearest: bool) -> float:
    """A round number: the nearest, or the least that is not below.

    >>> nice(9.2, nearest=True), nice(4.1, nearest=False)
    (10.0, 5.0)
    """
    power = 10.0 ** floor(log10(value))
    digit = value / power
    for limit, rounded in NEAREST if nearest else NOT_BELOW:
        if digit < limit or (not nearest and digit == limit):
            return rounded * power
    return 10.0 * power


def ticks(low: float, high: float, most: int = 5) -> list[float]:
    """Round numbers that enclose ``low`` to ``high``, about ``most`` of them.

    >>> ticks(105, 543)
    [100.0, 200.0, 300.0, 400.0, 500.0, 600.0]
    """
    if high <= low:
        low, high = min(low, 0.0), max(high, low + 1.0)
    apart = nice(nice(high - low, nearest=False) / (most - 1), nearest=True)
    first, last = floor(low / apart + 1e-9), ceil(high / apart - 1e-9)
    return [round(step * apart, 10) for step in range(first, last + 1)]


def inner_ticks(low: float, high: float, most: int = 5) -> list[float]:
    """Those that lie within, for a scale whose ends are given."""
    return [tick for tick in ticks(low, high, most) if low <= tick <= high]
