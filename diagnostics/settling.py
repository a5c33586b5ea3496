"""From an unclear verdict to what would settle it, in one tap. PURE.

Each of the engine's codes leads somewhere, with something set beforehand.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from diagnostics.engine.boards import Board
from diagnostics.engine.family import Point
from diagnostics.engine.verdicts import RED_ON_GROUND, RED_ON_POINT
from diagnostics.engine.yardsticks import Settle

LEADS = "k04"


class Goes(StrEnum):
    """Where a tap leads."""

    SAME_POINT = "same_point"
    OTHER_POINT = "other_point"
    LEADS_AND_BACK = "leads_and_back"
    GOOD_BOARD = "good_board"
    MARK = "mark"


@dataclass(frozen=True)
class Tap:
    """Where a tap leads, and what of "how it was taken" is set or opened there."""

    goes: Goes = Goes.SAME_POINT
    is_four_wire: bool = False
    is_swapped: bool = False
    is_at_meter: bool = False
    is_at_supply: bool = False
    is_emptied: bool = False
    is_filled: bool = False
    course: str = ""

    @property
    def opens_how(self) -> bool:
        return (
            self.is_four_wire
            or self.is_swapped
            or self.is_at_meter
            or self.is_at_supply
            or self.is_emptied
            or self.is_filled
        )


TAPS: Mapping[Settle, Tap] = {
    Settle.COMPARE_GOOD_BOARD: Tap(Goes.GOOD_BOARD),
    Settle.FINER_METER: Tap(is_at_meter=True),
    Settle.FOUR_WIRE: Tap(is_four_wire=True),
    Settle.HIGHER_RANGE: Tap(),
    Settle.LOOK_AGAIN: Tap(),
    Settle.MARK_NOT_FITTED: Tap(Goes.MARK),
    Settle.MEASURE_LEADS: Tap(Goes.LEADS_AND_BACK),
    Settle.MORE_DIGITS: Tap(),
    Settle.OTHER_POINT: Tap(Goes.OTHER_POINT),
    Settle.PUT_IN: Tap(is_filled=True),
    Settle.SUPPLY_ON: Tap(is_at_supply=True),
    Settle.SWAP_PROBES: Tap(is_swapped=True),
    Settle.TAKE_OUT: Tap(is_emptied=True),
    Settle.TAP_AT_LIMIT: Tap(is_at_supply=True, course="at_limit"),
    Settle.TOUCH_AGAIN: Tap(),
    Settle.WAIT_SETTLED: Tap(),
}


def tap_of(code: str) -> Tap | None:
    """The tap of a code; nothing for what is no code."""
    return TAPS[Settle(code)] if code in set(Settle) else None


def goal(board: Board, point: Point, tap: Tap) -> Point:
    """The point that a tap leads to on this board."""
    if tap.goes is Goes.LEADS_AND_BACK:
        return board.fitted_points(LEADS)[0]
    return other_point(board, point) if tap.goes is Goes.OTHER_POINT else point


def other_point(board: Board, point: Point) -> Point:
    """Another point of the same net in the same mode, those of its check first.

    Where the family names none, it is the same point: the net has other places.
    """
    check, net = board.check(point.check), _net(point)
    alike = [
        one
        for other in (check, *board.checks.values())
        if (other.mode, other.condition) == (check.mode, check.condition)
        for one in board.fitted_points(other.id)
        if net is not None and _net(one) == net and one.id != point.id
    ]
    return next(iter(alike), point)


def _net(point: Point) -> str | None:
    return point.rail or point.signal


def swapped(polarity: str) -> str:
    """The other way round."""
    return RED_ON_POINT if polarity == RED_ON_GROUND else RED_ON_GROUND


def net_of(point: Point) -> str:
    """What is marked as not fitted: the whole net, or a point that has none."""
    return _net(point) or point.id
