"""How soon things come to pass, with those that still wait counted as waiting. PURE.

The product-limit estimate (Kaplan and Meier, J. Am. Stat. Assoc. 53, 1958, 457-481)
with its pointwise 95 % band by Greenwood's formula on log(-log S), both by
``scipy.stats.ecdf``. A quantile's interval is where the band crosses it (Brookmeyer
and Crowley, Biometrics 38, 1982, 29-41).
"""

import warnings
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]
HALF, NINE_OF_TEN = 0.5, 0.9
ROUNDING = 1e-12
MOST_STEPS = 60  # of a picture: it rises by a sixtieth at least


@dataclass(frozen=True)
class Survival:
    """From ``at[k]`` on ``left[k]`` of them wait still: a share, between two others.

    (m,) arrays over the moments at which something came to pass, ascending; ``n``
    were followed and ``done`` of them came to pass.
    """

    at: Floats
    left: Floats
    low: Floats
    high: Floats
    n: int
    done: int

    def within(self, share: float) -> float | None:
        """By when that share was done; ``None`` where the curve does not get there."""
        return self._reached(self.left, share)

    def interval(self, share: float) -> tuple[float | None, float | None]:
        """The 95 % interval of ``within``; ``None`` is not reached."""
        return self._reached(self.low, share), self._reached(self.high, share)

    def steps(self) -> list[tuple[float, float, float, float]]:
        """(moment, share done, low, high); of very many only the larger steps."""
        done = 1.0 - self.left
        level = np.floor(done * MOST_STEPS + ROUNDING)
        kept = np.ones(len(level), np.bool_)
        if len(level) > MOST_STEPS:
            kept[1:-1] = np.diff(level)[:-1] > 0
        columns = (self.at, done, 1.0 - self.high, 1.0 - self.low)
        rows = np.column_stack(columns)[kept].tolist()
        return [(at, share, low, high) for at, share, low, high in rows]

    def _reached(self, left: Floats, share: float) -> float | None:
        there = np.flatnonzero(left <= 1.0 - share + ROUNDING)
        return float(self.at[there[0]]) if len(there) else None


def survival(took: Floats, is_done: Flags) -> Survival:
    """``took``: (n,) until it came to pass, or until now where it has not."""
    if not is_done.any():
        none = np.empty(0)
        return Survival(none, none, none, none, len(took), 0)
    found, low, high = _estimated(took, ~is_done)
    some = np.isin(found.quantiles, np.unique(took[is_done]))
    left = found.probabilities
    # Where nobody waits any more the formula gives no band: what was known holds.
    high = np.where(np.isnan(high), _before(high), high)
    low = np.where(np.isnan(low), 0.0, low)
    at = found.quantiles[some]
    n, done = len(took), int(is_done.sum())
    return Survival(at, left[some], low[some], high[some], n, done)


def _estimated(took: Floats, is_waiting: Flags) -> tuple[Any, Floats, Floats]:
    # Importing it takes a second, which only a page of figures pays.
    from scipy.stats import CensoredData, ecdf  # type: ignore[import-untyped]  # noqa: PLC0415

    curve = ecdf(CensoredData.right_censored(took, is_waiting)).sf
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # undefined at 0 and 1: below
        band = curve.confidence_interval(method="log-log")
    return curve, band.low.probabilities, band.high.probabilities


def _before(values: Floats) -> Floats:
    """The last value that there was; 1 before the first."""
    known = np.where(np.isnan(values), -1, np.arange(len(values)))
    newest = np.maximum.accumulate(known)
    return np.where(newest < 0, 1.0, values[np.maximum(newest, 0)])
