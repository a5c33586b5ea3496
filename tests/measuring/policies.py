"""Expected minutes of looking ahead, beside the exact optimum, greedy and bounds."""

from collections.abc import Iterator, Sequence

import numpy as np

from tests.engine.best_policy import (
    Problem,
    entropy_bound,
    greedy,
    least,
    looking_ahead,
    spent,
    sure,
)
from tests.engine.random_boards import random_boards, small_family

# Pattipati & Alexandridis 1990, as the list of check values has it (4.42).
PRIORS = [0.70, 0.01, 0.02, 0.10, 0.05, 0.12]
TESTS = ("000111", "010011", "001001", "001101", "010100")
SEED = 1


def policies(count: int) -> Iterator[str]:
    """A line for each kind of board: means, and the worst in brackets."""
    matrix = np.array([[int(sign) for sign in row] for row in TESTS])
    yield line("six states, published", [sure(PRIORS, matrix)])
    yield line("small family", [small_family()])
    yield line(f"{count} random boards", list(random_boards(count, SEED)))
    changing = list(random_boards(count, SEED, changes=True))
    yield line("with changes", changing)


def line(name: str, problems: Sequence[Problem]) -> str:
    best = np.array([least(one) for one in problems])
    bound = np.array([entropy_bound(one) for one in problems])
    shown = [
        f"{label} +{100 * over.mean():.1f} % (+{100 * over.max():.1f} %)"
        for label, policy in (("ahead", looking_ahead), ("greedy", greedy))
        if len(over := np.array([spent(one, policy) for one in problems]) / best - 1)
    ]
    return (
        f"{name:22} optimum {best.mean():6.2f} min  {'  '.join(shown)}"
        f"  entropy bound {bound.mean():.2f} min"
    )
