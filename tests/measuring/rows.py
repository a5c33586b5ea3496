"""Ours and the reference by turns; medians, the slow end, the ratio."""

import time
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median

MILLI = 1000.0


@dataclass(frozen=True)
class Row:
    """Milliseconds of ours and of the reference, medians and the slow end."""

    name: str
    ours: float
    ours_p95: float
    reference: float
    reference_p95: float
    queries: int
    rounds: int

    @property
    def ratio(self) -> float:
        return self.ours / self.reference if self.reference else 0.0


def by_turns(
    ours: Callable[[], object], reference: Callable[[], object], rounds: int
) -> tuple[list[float], list[float]]:
    """A B A B ...: a noisy machine is noisy for both."""
    ours(), reference()
    taken: tuple[list[float], list[float]] = ([], [])
    for _round in range(rounds):
        for act, times in zip((ours, reference), taken, strict=True):
            start = time.perf_counter()
            act()
            times.append((time.perf_counter() - start) * MILLI)
    return taken


def row(
    name: str,
    ours: Callable[[], object],
    reference: Callable[[], object],
    rounds: int,
    queries: int = 0,
) -> Row:
    first, second = by_turns(ours, reference, rounds)
    return Row(
        name, median(first), slow(first), median(second), slow(second), queries, rounds
    )


def slow(times: list[float]) -> float:
    """The 95th percentile."""
    return sorted(times)[min(len(times) - 1, int(0.95 * len(times)))]
