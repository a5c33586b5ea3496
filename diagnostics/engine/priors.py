"""What is believed of a board before its first reading. PURE.

The weights of a family are judgement, so they are half believed: half of the prior
goes by block, all blocks equal and weights inside them, and half is even over all
ways of failing. Believed in whole they name faults a little sooner, and more often
wrongly with great confidence, where a rare part is at fault (measured on the
benchmark's boards, which take all ways of failing evenly).
"""

from collections import Counter
from collections.abc import Sequence

import numpy as np

from diagnostics.engine.boards import Board
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import Fault, split

BELIEVED = 0.5
WHOLE_BLOCK = 100.0  # what the weights of a block add up to, by the brief's section 3


def priors(board: Board, faults: Sequence[Fault], healthy: float) -> Floats:
    """A probability for each fault; no fault, which comes first, has ``healthy``.

    A way of failing whose place is unknown shares its weight between the places. A
    block that lies on top of the others counts by its weights alone.
    """
    split_up = [split(fault) for fault in faults[1:]]
    places = Counter((part, mode) for part, mode, _place in split_up)
    shares = np.array([1 / places[part, mode] for part, mode, _place in split_up])
    weights = shares * [_weight(board, part, mode) for part, mode, _place in split_up]
    blocks = [board.blocks[board.parts[part].block] for part, _m, _place in split_up]
    sums = dict.fromkeys((block.id for block in blocks), 0.0)
    for block, weight in zip(blocks, weights.tolist(), strict=True):
        sums[block.id] += weight
    whole = [WHOLE_BLOCK if block.is_on_top else sums[block.id] for block in blocks]
    by_block = weights / np.array(whole)
    mixed = BELIEVED * by_block / by_block.sum() + (1 - BELIEVED) * shares / len(places)
    return np.append(healthy, (1 - healthy) * mixed)


def _weight(board: Board, part: str, way: str) -> float:
    return next(mode.weight for mode in board.parts[part].modes if mode.id == way)
