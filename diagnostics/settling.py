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
    course: str = ""

    @property
    def opens_how(self) -> bool:
        return (
            self.is_four_wire
            or self.is_swapped
            or self.is_at_meter
            or self.is_at_supply
            or self.is_emptied
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
    """Another point of the same net in the same mode, else the check's next one."""
    check = board.check(point.check)
    siblings = board.fitted_points(check.id)
    later = _from(siblings, point)
    same_net = [one for one in later if point.rail and one.rail == point.rail]
    elsewhere = [
        one
        for other in board.checks.values()
        if (other.mode, other.condition) == (check.mode, check.condition)
        for one in board.fitted_points(other.id)
        if point.rail and one.rail == point.rail and one.check != check.id
    ]
    return next(iter([*same_net, *elsewhere, *later]), point)


def _from(points: tuple[Point, ...], here: Point) -> list[Point]:
    """The other points, those behind this one first."""
    ids = [point.id for point in points]
    place = ids.index(here.id) if here.id in ids else -1
    turned = points[place + 1 :] + points[: max(place, 0)]
    return list(turned)


def swapped(polarity: str) -> str:
    """The other way round."""
    return RED_ON_POINT if polarity == RED_ON_GROUND else RED_ON_GROUND


def net_of(point: Point) -> str:
    """What is marked as not fitted: the whole net, or a point that has none."""
    return point.rail or point.signal or point.id
