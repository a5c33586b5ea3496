"""So many of so many, and how far that may be believed. PURE.

The interval is Wilson's score interval at 95 % (E. B. Wilson, J. Am. Stat. Assoc.
22, 1927, 209-212), by the engine's own function, which the tests hold to scipy's
and to printed cases: importing ``scipy.stats`` takes longer than a page may.
"""

from dataclasses import dataclass
from typing import Self

from diagnostics.engine.calibration import wilson
from shop.office.figures import FEWEST


@dataclass(frozen=True)
class Counted:
    """``k`` of ``n``; under three nothing is said of a share.

    >>> Counted(81, 263).percent, Counted(2, 2).percent
    (30.8, None)
    """

    k: int
    n: int

    def __post_init__(self) -> None:
        if not 0 <= self.k <= self.n:
            raise ValueError(f"{self.k} of {self.n}")

    def __add__(self, other: Self) -> "Counted":
        return Counted(self.k + other.k, self.n + other.n)

    @property
    def is_few(self) -> bool:
        return self.n < FEWEST

    @property
    def share(self) -> float:
        """For sentences; ``ZeroDivisionError`` of nothing counted."""
        return self.k / self.n

    @property
    def percent(self) -> float | None:
        return None if self.is_few else round(100 * self.share, 1)

    @property
    def interval(self) -> tuple[float, float]:
        """Where the share lies, 0 to 1."""
        return wilson(self.k, self.n)

    @property
    def low(self) -> float | None:
        return None if self.is_few else round(100 * self.interval[0], 1)

    @property
    def high(self) -> float | None:
        return None if self.is_few else round(100 * self.interval[1], 1)


NONE = Counted(0, 0)
