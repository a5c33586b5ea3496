"""What a check's answers are worth: the chance of each, board by board. PURE.

The family says in its circuit what must be so on the board for each answer; the
first that fits counts, and the last stands for the rest. Whoever answers slips now
and then. A frequency is answered by whether anything runs there.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import Answer
from diagnostics.engine.circuit.state import State
from diagnostics.engine.yardsticks import Yardstick

SLIPS = 0.06  # of all answers, evenly over the others (judgement)
LOW_VOLTS = 0.8  # std: ATX, a line that asks by being low; logic's usual low
RUNS, SILENT = "runs", "silent"
SILENT_BELOW = 0.3  # of the lowest frequency that is right (judgement)


@dataclass(frozen=True)
class Chances:
    """``names`` of the answers; ``shares`` (faults, answers, boards) add up to 1."""

    names: tuple[str, ...]
    shares: Floats


def chances(board: State, rules: Sequence[Answer], names: Sequence[str]) -> Floats:
    """(answers, boards) of one state; a name without a rule is only a slip."""
    found = np.zeros((len(names), board.cloud.boards))
    left = np.ones(board.cloud.boards)
    for rule in rules:
        taken = left * _holds(board, rule)
        found[names.index(rule.name)] += taken
        left = left - taken
    found[names.index(rules[-1].name)] += left
    slip = SLIPS / len(names)
    made: Floats = (1 - SLIPS) * found + slip
    return made


def _holds(board: State, rule: Answer) -> Floats:
    """How much of the time all of a rule holds."""
    found = np.full(board.cloud.boards, rule.share)
    for net in rule.up:
        found = found * board.there[net]
    for net in rule.low:
        found = found * (board.volts[net] < LOW_VOLTS)
    if rule.retries:
        found = found * board.tries_again(rule.retries)
    if rule.at_limit:
        strains = sum(board.strains.values(), board.nought) * (board.trips == 0)
        found = found * (strains + board.pinned > 0)
    return found


def frequency_rules(net: str) -> tuple[Answer, ...]:
    """A frequency at a line: it runs while that is as it should be."""
    return (Answer(RUNS, up=(net,)), Answer(SILENT))


def answer_of_hertz(hertz: float, yardstick: Yardstick) -> str:
    """The answer that a frequency counts as."""
    low = yardstick.limit_low or yardstick.usual_low or 0.0
    return SILENT if hertz < SILENT_BELOW * low or hertz <= 0 else RUNS
