"""The row of the circuit finder: a board with 20 marks, to circuits with shares.

The reference is scipy's assignment of as many groups alone.
"""

import random

import numpy as np
from scipy import optimize  # type: ignore[import-untyped]

from diagnostics.engine.landmarks import Found, Inductor, Mark, find, groups_of
from diagnostics.engine.landmarks_figures import Landmark, Side
from tests.measuring.rows import Row, row

LANDMARKS, INDUCTORS = 8, 12


def marked(seed: int = 1) -> tuple[list[Inductor], list[Mark]]:
    """Every kind of landmark and a dozen inductors, strewn over both sides."""
    draw = random.Random(seed)
    places = [(draw.random(), draw.random()) for _mark in range(20)]
    sides = [draw.choice(list(Side)) for _mark in range(20)]
    marks = [Mark(kind, *places[n], sides[n]) for n, kind in enumerate(list(Landmark))]
    inductors = [
        Inductor(n, *places[n], sides[n], draw.randint(1, 4), draw.choice("ab"))
        for n in range(LANDMARKS, LANDMARKS + INDUCTORS)
    ]
    return inductors, marks


def circuits_named(rounds: int) -> Row:
    inductors, marks = marked()
    worth = np.random.default_rng(1).random((len(groups_of(inductors)), 40))

    def ours() -> tuple[Found, ...]:
        return find(groups_of(inductors), marks)

    def reference() -> object:
        return optimize.linear_sum_assignment(worth, maximize=True)

    return row("circuits named", ours, reference, rounds)
