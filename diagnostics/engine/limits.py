"""A reading against its limit: conformity, and how far it lies. PURE.

JCGM 106:2012, 7.2 to 7.4: the true value is believed normal about the reading.
"""

from dataclasses import dataclass
from math import inf
from statistics import NormalDist

from diagnostics.engine.reasons import Reason, reason
from diagnostics.engine.yardsticks import Observed, Yardstick

PASSES = 0.95
FAILS = 0.05


def p_inside(y: float, u: float, low: float | None, high: float | None) -> float:
    """Probability that the true value lies within the limits (JCGM 106, 7.2-7.4).

    Normal, centred on the reading ``y`` with standard uncertainty ``u`` >= 0.

    >>> round(p_inside(13.6, 1.8, 12.5, 16.3), 5)
    0.66263
    """
    lower = -inf if low is None else low
    upper = inf if high is None else high
    if u == 0:
        return 1.0 if lower <= y <= upper else 0.0
    belief = NormalDist(y, u)
    return max(0.0, belief.cdf(upper) - belief.cdf(lower))


def is_proven_outside(
    value: float, u: float, low: float | None, high: float | None
) -> bool:
    """Beyond the same limit with probability 0.95, however narrow the limits."""
    under = 0.0 if low is None else p_inside(value, u, None, low)
    over = 0.0 if high is None else p_inside(value, u, high, None)
    return max(under, over) >= 1 - FAILS


@dataclass(frozen=True)
class Margin:
    """A value, its nearest limit and the meter's own error; all in ``unit``."""

    value: float
    limit: float
    error: float
    yardstick: Yardstick

    @property
    def distance(self) -> float:
        return abs(self.value - self.limit)

    @property
    def is_about_shorts(self) -> bool:
        return self.yardstick.unit == "ohm" and self.yardstick.limit_high is None

    @property
    def is_lower(self) -> bool:
        return self.limit == self.yardstick.low

    def inside(self) -> Reason:
        if self.is_about_shorts:
            return self._reason(reason("no_short"))
        return self._reason(reason("inside_limits"))

    def close(self) -> Reason:
        if self.is_lower:
            return self._reason(reason("close_to_lower"))
        return self._reason(reason("close_to_upper"))

    def outside(self) -> Reason:
        if self.is_about_shorts:
            return self._reason(reason("is_short"))
        if self.is_lower:
            return self._reason(reason("under_lower"))
        return self._reason(reason("over_upper"))

    def history_disagrees(self) -> Reason:
        return self._reason(reason("history_disagrees"))

    def meter(self) -> Reason:
        return reason("meter_error", error=self.error, unit=self.yardstick.unit)

    def blame(self) -> tuple[Reason, ...]:
        """May the meter be it? A bad reading may lie within its stated bound."""
        if self.error == 0:
            return ()
        unit = self.yardstick.unit
        if self.distance > self.error:
            return (reason("not_the_meter", error=self.error, unit=unit),)
        return (reason("hardly_the_meter", error=self.error, unit=unit),)

    def _reason(self, bare: Reason) -> Reason:
        """The bare reason with the values that every limit's reason has."""
        return reason(
            bare.code,
            value=self.value,
            limit=self.limit,
            distance=self.distance,
            error=self.error,
            low=self.yardstick.low,
            high=self.yardstick.limit_high,
            unit=self.yardstick.unit,
            source=self.yardstick.limit_source,
        )


def margin(value: float, observed: Observed, yardstick: Yardstick) -> Margin:
    """The value's margin to the nearest of the limits that there are."""
    limits = (yardstick.low, yardstick.limit_high)
    nearest = min(
        (one for one in limits if one is not None), key=lambda one: abs(value - one)
    )
    return Margin(value, nearest, observed.half_width, yardstick)
