"""What knowing more is worth, in bench minutes. PURE."""

from collections.abc import Sequence

import numpy as np

from diagnostics.engine.boards import Board
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import Fault

# One more nat is worth this share of what a wrong name costs: the frontier of right
# names against minutes bends there (manage.py deadboards --frontier prints it).
SHARE_OF_WRONG = 0.4
RETEST_MINUTES = 30.0  # proof of a repair, short list (domain brief, section 8)
# After a wrong name the search begins again, about ten minutes, and so does the word
# with the customer (judgement).
AGAIN_MINUTES = 20.0
# A board called healthy that comes back: taken in, searched and proved all over again,
# for no fee (judgement; at half of it two boards of 220 were called so too soon).
RETURN_MINUTES = 120.0


def worth_of_a_nat(
    board: Board,
    faults: Sequence[Fault],
    shares: Floats,
    share_of_wrong: float = SHARE_OF_WRONG,
) -> float:
    """Minutes: a share of what a wrong name would cost here, part by part."""
    minutes = np.array([repair_minutes(board, part) for part, _way in faults])
    wrong = float(shares @ minutes) + RETEST_MINUTES
    return share_of_wrong * wrong


def repair_minutes(board: Board, part: str) -> float:
    """Minutes to confirm and replace a part; "" is no fault at all."""
    if not part:
        return RETURN_MINUTES
    return sum(board.parts[part].minutes) / 2


def wrong_minutes(board: Board, part: str) -> float:
    """What it costs to name a part ("" for none) where it is another."""
    return repair_minutes(board, part) + RETEST_MINUTES + AGAIN_MINUTES
