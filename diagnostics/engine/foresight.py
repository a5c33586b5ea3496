"""From the outlook on the open checks to a question that can be looked ahead. PURE.

Kept to what matters, so that it stays within milliseconds: the likeliest faults, the
checks that tell most for a minute, a few answers each. Twin points, which tell only
together, are one check more, at the minutes of both.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from diagnostics.engine.ahead import REACH, Question, Reach, Whole, narrowed, plans
from diagnostics.engine.asks import Outlook
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.discrete import foretold, information

FAULTS, CHECKS, ANSWERS = 16, 24, 6


@dataclass(frozen=True)
class Prices:
    """What things cost, in minutes.

    ``wrong``: a wrong name, by part ("" is no fault). ``condition`` of a point, a
    number, and ``change`` from one condition to another.
    """

    wrong: Callable[[str], float]
    condition: Callable[[str], int] = lambda _point: 0
    change: Floats | None = None


@dataclass(frozen=True)
class Foreseen:
    """A point to begin with, and the minutes that are then expected in all, a wrong
    name at the end among them."""

    point: str
    minutes: float


def foreseen(
    outlook: Outlook, prices: Prices, condition: int = 0, reach: Reach = REACH
) -> tuple[float, list[Foreseen]]:
    """What naming now is expected to cost, and the best first points, best first."""
    likely = np.argsort(-outlook.shares, kind="stable")[:FAULTS]
    shares = outlook.shares[likely] / outlook.shares[likely].sum()
    parts = [outlook.asker.kernels.predictions.faults[n][0] for n in outlook.likely]
    named = [parts[n] for n in likely]
    names = list(dict.fromkeys(named))
    group = np.array([names.index(part) for part in named])
    wrong = np.array([prices.wrong(part) for part in names])
    steps = _steps(outlook, likely, shares)
    if not steps.places:
        return float((wrong * (1 - np.bincount(group, shares))).min()), []
    points = [outlook.asker.points[at] for at in steps.places]
    question = Question(
        narrowed(steps.tables, shares, ANSWERS),
        steps.minutes,
        group,
        wrong,
        condition=np.array([prices.condition(point) for point in points]),
        change=prices.change,
    )
    stop, found = plans(question, shares, condition, reach)
    return stop, [Foreseen(points[one.check], one.minutes) for one in found]


@dataclass(frozen=True)
class _Steps:
    """The checks that tell most for a minute: places, tables and minutes."""

    places: list[int]
    tables: Floats
    minutes: Floats


def _steps(outlook: Outlook, likely: Whole, shares: Floats) -> _Steps:
    every = [*_singles(outlook, likely), *_twins(outlook, likely)]
    told = np.array([information(rows, shares) for _at, rows, _minutes in every])
    rates = told / np.array([minutes for _at, _rows, minutes in every])
    best = [n for n in np.argsort(-rates, kind="stable")[:CHECKS] if told[n] > 0]
    bins = max((every[n][1].shape[1] for n in best), default=0)
    tables = np.zeros((len(best), len(likely), bins))
    for place, n in enumerate(best):
        rows = every[n][1]
        tables[place, :, : rows.shape[1]] = rows
    minutes = np.array([every[n][2] for n in best])
    return _Steps([every[n][0] for n in best], tables, minutes)


def _singles(outlook: Outlook, likely: Whole) -> Iterator[tuple[int, Floats, float]]:
    for at, rows in outlook.rows.items():
        yield at, rows[likely], float(outlook.asker.minutes[at])


def _twins(outlook: Outlook, likely: Whole) -> Iterator[tuple[int, Floats, float]]:
    """The first of each pair whose two points are open, with what both tell."""
    faults, minutes = outlook.likely[likely], outlook.asker.minutes
    for first, second, histogram in outlook.asker.twins:
        if first in outlook.rows and second in outlook.rows:
            rows = foretold(histogram[faults], outlook.boards[faults])
            yield first, rows, float(minutes[first] + minutes[second])
