"""Two faults at once, looked at only where no single one explains what was read. PURE.

Each of the two shows where the other changes nothing; where both do, either may. A
pair is opened between the few faults that explain most and all that are likely at
all. Pairs that are not opened hold no more than their prior, ``P_PAIR``.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

import numpy as np

from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.discrete import over_boards
from diagnostics.engine.weigh import Told, Weighing, log_priors, together

P_PAIR = 0.02  # of boards that come in (judgement)
POOR_FIT = 0.05  # share of something else from which pairs are looked at
LEADING, BESIDE = 6, 40


@dataclass(frozen=True)
class Pairs:
    """Rows of two faults each, their scores, and the boards still likely of each."""

    rows: tuple[tuple[int, int], ...]
    scores: Floats
    boards: Floats


@dataclass(frozen=True)
class Posterior:
    """Shares by fault, of pairs, and of something else; they add up to 1.

    ``likelihoods`` are those of the readings, whatever the prior, on any one scale.
    """

    shares: Floats
    boards: Floats
    likelihoods: Floats
    something_else: float
    pairs: Pairs
    of_pairs: Floats


NO_PAIRS = Pairs((), np.zeros(0), np.zeros((0, 0)))


def is_worth_it(weighing: Weighing, now: Sequence[Told], other: float) -> bool:
    """Whether two faults could explain what no single one does.

    ``other`` is the share of something else. A second fault can gain no more than
    what the likeliest one leaves unexplained, reading by reading.
    """
    scores, boards = weighing.scores()
    best = int(scores.argmax())
    left = sum((_left_by(told, best, boards) for told in now), start=0.0)
    return other > POOR_FIT or left > -log(P_PAIR)


def _left_by(told: Told, best: int, boards: Floats) -> float:
    every = (np.exp(told.logs) * boards).sum(axis=1)
    return log(every.max()) - log(every[best])


def opened(weighing: Weighing, now: Sequence[Told]) -> Pairs:
    """The pairs worth a look, scored as ``Weighing.scores`` scores single faults."""
    scores, _boards = weighing.scores()
    ranked = [int(row) for row in np.argsort(-scores) if row != 0]
    leading, among = ranked[:LEADING], np.array(sorted(ranked[:BESIDE]))
    found: dict[tuple[int, int], Floats] = {}
    for first in leading:
        shown = [told for told in now if told.touched[first].any()]
        logs = weighing.logs[among] + sum(
            together(told, first, among) - told.logs[among] for told in shown
        )
        for place, second in enumerate(among.tolist()):
            if second != first and (second, first) not in found:
                found[first, second] = logs[place]
    return _scored(weighing, found)


def _scored(weighing: Weighing, found: dict[tuple[int, int], Floats]) -> Pairs:
    if not found:
        return NO_PAIRS
    rows = np.array(list(found))
    logs = np.stack(list(found.values()))
    priors = log_priors(weighing.priors)
    before = log(P_PAIR) + priors[rows[:, 0]] + priors[rows[:, 1]]
    means, boards = over_boards(logs)
    return Pairs(tuple(map(tuple, rows.tolist())), before + means, boards)
