"""How long a kind of job took: a mean with its range, never one without the other.
PURE.

>>> minutes_of([55, 80, 45])
Minutes(jobs=3, mean=60, least=45, most=80, half_under=55)
"""

from collections.abc import Iterable
from dataclasses import dataclass
from statistics import fmean, median


@dataclass(frozen=True)
class Minutes:
    """Whole minutes of some jobs; ``half_under`` is their median."""

    jobs: int
    mean: int
    least: int
    most: int
    half_under: int


def minutes_of(each: Iterable[int]) -> Minutes | None:
    """Of the jobs that have time on record; ``None`` where none has."""
    known = [minutes for minutes in each if minutes > 0]
    if not known:
        return None
    return Minutes(
        jobs=len(known),
        mean=round(fmean(known)),
        least=min(known),
        most=max(known),
        half_under=round(median(known)),
    )
