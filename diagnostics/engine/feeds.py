"""Volts on a rail whose own feed has none. PURE.

Voltage present is not power: a few volts leak in through a protection diode of a
part that is fed from elsewhere, and the rail reads good with its source dead. So a
rail that passes while a rail that feeds it reads nothing is unclear: either it
leaks, or one of the two was missed.
"""

from collections.abc import Mapping

from diagnostics.engine.boards import Board
from diagnostics.engine.family import Point
from diagnostics.engine.reasons import reason
from diagnostics.engine.rungs import LIVE, half_of, is_nothing
from diagnostics.engine.yardsticks import Settle, Verdict, Word

PASSED = frozenset({Word.GOOD, Word.WATCH})


def with_feed(
    board: Board, point: Point, verdict: Verdict, live_volts: Mapping[str, float]
) -> Verdict:
    """The verdict of a live reading, seen beside the volts of what feeds its rail.

    ``live_volts`` are the newest volts of each rail, of the same epoch and
    condition, with no pack in the board: a pack feeds rails from behind.
    """
    rail_id = point.rail
    if (
        rail_id is None
        or verdict.word not in PASSED
        or half_of(board, point.id) != LIVE
    ):
        return verdict
    volts = live_volts.get(rail_id)
    feeders = [live_volts.get(feeder) for feeder in board.rail(rail_id).needs]
    if volts is None or is_nothing(volts) or not any(map(is_nothing, feeders)):
        return verdict
    why = reason("unfed", volts=volts)
    again = (Settle.TOUCH_AGAIN.value, Settle.OTHER_POINT.value)
    return Verdict(Word.UNCLEAR, verdict.p_inside, (why, *verdict.reasons), again)
