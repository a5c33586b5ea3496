"""Little's law: what is open = what comes in a day x the days it stays. PURE.

Little and Graves, "Little's Law", in Building Intuition (2008), ch. 5. It holds over a
long time in which as much leaves as comes; what it does not meet has piled up, or
melted away.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Seconds = npt.NDArray[np.int64]
AGREES = 0.2  # within a fifth: judgement


@dataclass(frozen=True)
class Flow:
    """``open_mean``: on average at a time; ``rate``: taken in a day; ``stay``: days."""

    open_mean: float
    rate: float
    stay: float

    @property
    def by_law(self) -> float:
        return self.rate * self.stay

    @property
    def says(self) -> str:
        """ "agrees", "more" or "fewer" open than the law gives."""
        if abs(self.open_mean - self.by_law) <= AGREES * self.by_law:
            return "agrees"
        return "more" if self.open_mean > self.by_law else "fewer"


def mean_open(opened: Seconds, closed: Seconds, since: int, until: int) -> float:
    """How many were open at a time; ``closed``: far ahead where one is open."""
    spent = np.minimum(closed, until) - np.maximum(opened, since)
    return float(np.maximum(spent, 0).sum()) / (until - since)
