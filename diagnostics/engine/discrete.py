"""The discretised question: faults, one board, and checks with a few answers. PURE.

A check is a table (faults, answers, boards): how likely each answer is, for each
fault on each virtual board. Given fault and board the checks are independent; which
board it is nobody knows, and no board goes with one fault more than with another:

    P(answers | fault) = mean over boards of product over checks.

The board is what makes readings of one board go together. Checked in
tests/published/ against published networks and against variable elimination.
"""

from collections.abc import Iterable

import numpy as np

from diagnostics.engine.circuit.newton import Floats

LEAST = 1e-37  # whose logarithm single precision has too


def over_boards(logs: Floats) -> tuple[Floats, Floats]:
    """From logarithms of likelihoods (faults, boards): the logarithm of their mean
    over boards, by fault, and how the likelihood shares out over each fault's boards
    (evenly where no board allows what was read).
    """
    top = logs.max(axis=1, keepdims=True)
    top = np.where(np.isfinite(top), top, 0.0)
    likely = np.exp(logs - top)
    sums = likely.sum(axis=1, keepdims=True)
    is_none = sums == 0
    boards = np.where(is_none, 1.0, likely) / np.where(is_none, logs.shape[1], sums)
    with np.errstate(divide="ignore"):
        means: Floats = np.log(likely.mean(axis=1)) + top[:, 0]
    return means, boards


def shared_out(scores: Floats) -> Floats:
    """Logarithms of weights to probabilities; ``ValueError`` where all are nought."""
    top = scores.max()
    if not np.isfinite(top):
        raise ValueError("nothing allows these answers")
    shares = np.exp(scores - top)
    made: Floats = shares / shares.sum()
    return made


def posterior(
    priors: Floats, answers: Iterable[tuple[Floats, int]]
) -> tuple[Floats, Floats]:
    """Probabilities by fault, and of each fault's boards, after answers to checks.

    ``answers`` are pairs of a check's table and the number of its answer.
    ``ValueError`` where no fault allows them.
    """
    scores = np.log(np.maximum(priors, LEAST))
    logs = np.zeros((len(priors), 1))
    with np.errstate(divide="ignore"):
        for table, answer in answers:
            logs = logs + np.log(table[:, answer, :])
    means, boards = over_boards(logs)
    return shared_out(np.where(priors > 0, scores + means, -np.inf)), boards


def foretold(table: Floats, boards: Floats) -> Floats:
    """How likely each answer to a check is for each fault, (faults, answers), on the
    boards as likely as they are by now."""
    made: Floats = np.einsum("hok,hk->ho", table, boards, optimize=True)
    return made


def entropy(rows: Floats) -> Floats:
    """In nats, of distributions along the last axis."""
    made: Floats = -(rows * np.log(np.maximum(rows, LEAST))).sum(axis=-1)
    return made


def information(rows: Floats, shares: Floats) -> float:
    """What an answer is expected to tell of the fault, in nats.

    ``rows`` (faults, answers) as ``foretold`` has them.
    """
    told = float(entropy(shares @ rows)) - float(shares @ entropy(rows))
    return max(0.0, told)
