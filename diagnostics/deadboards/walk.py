"""The fixed walk from front to back, which the engine has to beat.

Stage by stage in the family's order; the first abnormal reading ends it, and the
commonest part of the block that makes what was read is named. Abnormal is what is
bad, and under power what is not half of what is usual.
"""

from collections.abc import Callable

from diagnostics.deadboards.family import point_id
from diagnostics.deadboards.meter import verdict
from diagnostics.engine.boards import Board
from diagnostics.engine.verdicts import Word

Shown = float | str
SLOW_MINUTES = 15.0  # nobody lifts parts along a walk


def order(board: Board) -> list[str]:
    """The gates, then each stage's checks: cold before powered."""
    walked = [
        check.id
        for stage in board.family.stages
        for check in board.walk(stage.id)
        if board.fitted_points(check.id) and check.minutes < SLOW_MINUTES
    ]
    return list(dict.fromkeys((*board.family.power_gates, *walked)))


def walk(board: Board, read: Callable[[str], Shown]) -> tuple[list[str], list[str]]:
    """The part named ("none" for no fault), and the checks asked on the way."""
    asked: list[str] = []
    for check in order(board):
        asked.append(check)
        if is_abnormal(board, check, read(check)):
            return [commonest(board, check)], asked
    return ["none"], asked


def is_abnormal(board: Board, check: str, shown: Shown) -> bool:
    if verdict(board, check, shown).word is Word.BAD:
        return True
    about = board.check(check)
    yardstick = board.yardstick(point_id(check), condition=about.condition)
    if yardstick is None or not about.is_powered or isinstance(shown, str):
        return False
    lowest = yardstick.usual_low if yardstick.usual_low is not None else yardstick.low
    return lowest is not None and shown < lowest / 2


def commonest(board: Board, check: str) -> str:
    """The part that fails most often in the block behind what was read."""
    point = board.point(point_id(check))
    nets = {point.rail, point.signal, *(point.pair or ())}
    blocks = [block.id for block in board.blocks.values() if nets & set(block.makes)]
    parts = [part for part in board.parts.values() if part.block in blocks[:1]]
    weights = {part.id: sum(mode.weight for mode in part.modes) for part in parts}
    worst = max(weights, key=lambda part: weights[part], default="none")
    return worst.removeprefix("p.")
