"""How a state of the board's rail tree reads at a point. PURE.

For what asks the tree and no circuit: which failures may touch a reading, and the
doctor of families without a circuit.
"""

from diagnostics.engine import rungs
from diagnostics.engine.boards import Board
from diagnostics.engine.family import Point
from diagnostics.engine.spread import Spread


def kind_of(board: Board, point: Point) -> str | None:
    """How a reading there speaks of rails, or ``None`` where it says nothing."""
    check = board.check(point.check)
    if point.pair is not None:
        return "across" if check.by_arithmetic else "through"
    half = rungs.half_of(board, point.id)
    if half is not None:
        return {rungs.COLD: "ohms", rungs.LIVE: "volts"}[half]
    if check.mode == "D" and point.rail is not None:
        return "diode"
    if point.signal is None:
        return None
    if check.categories:
        return "answer"
    return "amperes" if check.mode == "I" else "volts"


def state_at(spread: Spread, point: Point, kind: str) -> str:
    """The state of the board that a reading at this point would show."""
    if point.pair is not None:
        return spread.across(point.pair)
    if kind in {"ohms", "diode"}:
        return spread.cold(point.rail or "")
    state = spread.live(point.rail or point.signal or "")
    if state == "gone" and kind == "volts":
        state = _at_rest(spread, point)
    is_drawing = spread.fault.effect in {"short", "bridge"}
    return "short" if kind == "amperes" and is_drawing and state == "gone" else state


def _at_rest(spread: Spread, point: Point) -> str:
    """A line that says no: nothing there, or what it rests at."""
    signal = spread.board.signals.get(point.signal or "")
    yardstick = spread.board.yardstick(point.id)
    if signal is None or signal.rests_at is None or yardstick is None:
        return "gone"
    if any(spread.live(need) == "gone" for need in signal.needs[:1]):
        return "gone"
    low = _first(yardstick.limit_low, yardstick.usual_low)
    high = _first(yardstick.limit_high, yardstick.usual_high)
    if low is not None and signal.rests_at < low:
        return "low"
    return "high" if high is not None and signal.rests_at > high else "up"


def _first(*values: float | None) -> float | None:
    return next((value for value in values if value is not None), None)
