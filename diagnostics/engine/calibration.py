"""How often what was said came true: bins of said probability. PURE.

A forecaster is calibrated where, of the cases said at about 80 %, about 80 % come
true. The share of a small sample is told with Wilson's score interval (E. B. Wilson,
J. Am. Stat. Assoc. 22, 1927, 209-212), which stays inside 0 and 1 and is no
interval of width 0 at none or all right.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import sqrt

# Five bins (judgement): a shop names some hundred suspects a year, and narrower
# ones would stay under FEWEST for years.
EDGES = (0.0, 0.3, 0.5, 0.7, 0.9, 1.0)
# Below this a share is told as "too few yet": of four, one more moves it by 25 %.
FEWEST = 5
# Two-sided 95 % of the normal distribution.
Z_95 = 1.959963984540054


@dataclass(frozen=True)
class Said:
    """A probability that was said, and whether it came true."""

    probability: float
    was_right: bool


@dataclass(frozen=True)
class Bin:
    """What was said at ``low`` or more and under ``high``: ``right`` of ``said``."""

    low: float
    high: float
    right: int
    said: int

    @property
    def is_telling(self) -> bool:
        return self.said >= FEWEST

    @property
    def interval(self) -> tuple[float, float]:
        """Where the share of right names lies, with 95 % confidence."""
        return wilson(self.right, self.said)


def wilson(right: int, of: int, z: float = Z_95) -> tuple[float, float]:
    """Wilson's score interval for a share; 0 to 1 where nothing was counted.

    >>> low, high = wilson(81, 263)
    >>> round(low, 4), round(high, 4)
    (0.2553, 0.3662)
    """
    if of == 0:
        return 0.0, 1.0
    share, spread = right / of, z * z / of
    middle = (share + spread / 2) / (1 + spread)
    half = z * sqrt(share * (1 - share) / of + spread / (4 * of)) / (1 + spread)
    low = 0.0 if right == 0 else middle - half
    high = 1.0 if right == of else middle + half
    return low, high


def bins(cases: Iterable[Said]) -> tuple[Bin, ...]:
    """All of them, the least probable first; empty ones too."""
    right = [0] * (len(EDGES) - 1)
    said = [0] * (len(EDGES) - 1)
    for case in cases:
        place = place_of(case.probability)
        said[place] += 1
        right[place] += case.was_right
    return tuple(
        Bin(EDGES[place], EDGES[place + 1], right[place], said[place])
        for place in range(len(said))
    )


def place_of(probability: float) -> int:
    """The bin that a probability falls into; 1.0 is in the last."""
    inner = EDGES[1:-1]
    return sum(probability >= edge for edge in inner)
