"""What is believed of a board before its first reading. PURE.

The weights of a family are judgement, so they are half believed: half of the prior
goes by block, all blocks equal and weights inside them, and half is even over all
ways of failing. Believed in whole they name faults a little sooner, and more often
wrongly with great confidence, where a rare part is at fault (measured on the
benchmark's boards, which take all ways of failing evenly).
"""

from collections.abc import Sequence

import numpy as np

from diagnostics.engine.boards import Board
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import Fault

BELIEVED = 0.5


def priors(board: Board, faults: Sequence[Fault], healthy: float) -> Floats:
    """A probability for each fault; no fault, which comes first, has ``healthy``."""
    weights = np.array([weight(board, fault) for fault in faults[1:]])
    blocks = [board.parts[part].block for part, _way in faults[1:]]
    sums = dict.fromkeys(blocks, 0.0)
    for block, one in zip(blocks, weights, strict=True):
        sums[block] += one
    by_block = weights / np.array([sums[block] for block in blocks]) / len(sums)
    even = np.full(len(weights), 1 / len(weights))
    mixed = BELIEVED * by_block + (1 - BELIEVED) * even
    return np.append(healthy, (1 - healthy) * mixed)


def weight(board: Board, fault: Fault) -> float:
    part, way = fault
    return next(mode.weight for mode in board.parts[part].modes if mode.id == way)
