"""Small boards by chance, whose best policy can be reckoned exactly."""

from collections.abc import Iterator

import numpy as np

from diagnostics.engine.ahead import Whole, narrowed
from diagnostics.engine.boards import board_of, load_family_text
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.predict import predict
from diagnostics.engine.histograms import histograms_of
from diagnostics.engine.kernels import kernels
from diagnostics.engine.priors import priors
from diagnostics.engine.weigh import MISSED
from tests.engine.best_policy import Problem, sure
from tests.engine.made_up import table_of
from tests.engine.small_board import WITH_CIRCUIT

FROM_COLD_TO_LIVE, FROM_LIVE_TO_COLD = 3.0, 6.0
ANSWERS, BOARDS = 4, 8


def random_boards(count: int, seed: int, *, changes: bool = False) -> Iterator[Problem]:
    """6 to 10 faults, 5 to 8 checks of two or three answers, 1 to 10 minutes each,
    that tell every fault from every other; some of them with conditions to change."""
    chance = np.random.default_rng(seed)
    for _one in range(count):
        faults, checks = int(chance.integers(6, 11)), int(chance.integers(5, 9))
        rows = _rows(chance, faults, checks)
        minutes = np.exp(chance.uniform(0, np.log(10), checks))
        shares = chance.dirichlet(np.full(faults, 0.7))
        if not changes:
            yield sure(shares, rows, minutes)
            continue
        condition = chance.integers(0, 2, checks)
        change = np.array([[0.0, FROM_COLD_TO_LIVE], [FROM_LIVE_TO_COLD, 0.0]])
        yield sure(shares, rows, minutes, condition, change)


def _rows(chance: np.random.Generator, faults: int, checks: int) -> Whole:
    answers = int(chance.integers(2, 4))
    while True:
        rows = chance.integers(0, answers, (checks, faults))
        if len(np.unique(rows, axis=1).T) == faults:
            return rows


def small_family(wrong: float = 60.0) -> Problem:
    """The small family's own checks, noise and all, in a few answers each."""
    board = board_of(load_family_text(WITH_CIRCUIT, "small.toml"))
    predictions = predict(board, BOARDS)
    shares = priors(board, predictions.faults, 0.1)
    tables = histograms_of(kernels(predictions), MISSED)
    parts = [part for part, _way in predictions.faults]
    names = list(dict.fromkeys(parts))
    checks = [board.check(board.point(point).check) for point in predictions.points]
    return Problem(
        shares,
        np.array([_few(table_of(one), shares) for one in tables]),
        np.array([check.minutes for check in checks]),
        np.array([names.index(part) for part in parts]),
        np.full(len(names), wrong),
        np.array([int(check.is_powered) for check in checks]),
        np.array([[0.0, FROM_COLD_TO_LIVE], [FROM_LIVE_TO_COLD, 0.0]]),
    )


def _few(table: Floats, shares: Floats) -> Floats:
    """(faults, answers, boards): fault and board together as one hypothesis."""
    faults, bins, boards = table.shape
    flat = table.transpose(0, 2, 1).reshape(1, faults * boards, bins)
    few = narrowed(flat, np.repeat(shares, boards) / boards, ANSWERS)
    return few.reshape(faults, boards, -1).transpose(0, 2, 1)
