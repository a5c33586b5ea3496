"""The Super I/O test: is the controller fed, and are its lines alive? PURE.

One statement from the standing readings of three checks (common practice): 3.3 V
on several sides of the controller, the adapter-ok and power-good lines at 3.3 V,
and continuity from the inductor of the standby 3.3 V to the supply pin.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from diagnostics.engine.boards import Board
from diagnostics.engine.family import Point
from diagnostics.engine.reasons import Reason, reason

SIDES, LINES, FEED = "k36", "k63", "k62"
CHECKS = (SIDES, LINES, FEED)
SIDES_AT_LEAST = 3
MOSTLY = 2 / 3  # of the sides read (judgement)


class Alive(StrEnum):
    """What the three checks say together."""

    ALIVE = "alive"
    LOOK = "look"
    OPEN = "open"
    ABSENT = "absent"


@dataclass(frozen=True)
class ControllerState:
    """The word, why, the stages to look at, and the checks still to be read.

    ``missing`` are ids of checks in the order to take them. How it is fed (k62) is
    worth knowing, but is not asked before it is called alive.
    """

    word: Alive
    reasons: tuple[Reason, ...]
    look_at: tuple[str, ...]
    missing: tuple[str, ...]


Words = Mapping[str, str]


def controller_state(board: Board, words: Words) -> ControllerState:
    """One statement from the verdict words by point id; absent means unread."""
    fitted = {check: points(board, check) for check in CHECKS}
    if not any(fitted.values()):
        return ControllerState(Alive.ABSENT, (reason("controller_absent"),), (), ())
    found = Findings(fitted, words)
    missing = tuple(check for check in CHECKS if found.is_missing(check))
    reasons = (*found.feed(), *found.sides(), *found.lines())
    look_at = found.look_at(board)
    if look_at:
        return ControllerState(Alive.LOOK, reasons, look_at, missing)
    if not {SIDES, LINES} & set(missing):
        alive = reason("controller_alive")
        return ControllerState(Alive.ALIVE, (alive, *reasons), (), missing)
    return ControllerState(Alive.OPEN, reasons, (), missing)


def points(board: Board, check_id: str) -> tuple[Point, ...]:
    """The fitted points of one of the checks; none where the family lacks it."""
    return board.fitted_points(check_id) if check_id in board.checks else ()


@dataclass(frozen=True)
class Findings:
    """The points of the three checks with the words that stand at them."""

    fitted: Mapping[str, tuple[Point, ...]]
    words: Words

    def read(self, check: str) -> dict[Point, str]:
        named = {one: self.words.get(one.id, "") for one in self.fitted[check]}
        return {point: word for point, word in named.items() if word}

    def good(self, check: str) -> list[Point]:
        return [point for point, word in self.read(check).items() if word == "good"]

    def off(self, check: str) -> list[Point]:
        """What is read there and not good, an unclear word apart."""
        named = self.read(check).items()
        return [point for point, word in named if word not in {"good", "unclear"}]

    @property
    def is_fed(self) -> bool:
        """3.3 V on most of at least three sides."""
        sides, good = len(self.read(SIDES)), len(self.good(SIDES))
        least = min(SIDES_AT_LEAST, len(self.fitted[SIDES]))
        return sides >= least and good >= MOSTLY * sides

    def is_missing(self, check: str) -> bool:
        if check == SIDES and self.is_fed:
            return False
        named = {point.id: self.words.get(point.id, "") for point in self.fitted[check]}
        return any(word in {"", "unclear"} for word in named.values())

    def feed(self) -> tuple[Reason, ...]:
        if self.good(FEED):
            return (reason("fed_straight"),)
        return (reason("fed_another_way"),) if self.off(FEED) else ()

    def sides(self) -> tuple[Reason, ...]:
        sides, good = len(self.read(SIDES)), len(self.good(SIDES))
        if not sides:
            return ()
        if self.is_fed and good == sides:
            return (reason("sides_all", sides=sides),)
        if self.is_fed:
            return (reason("sides_mostly", good=good, sides=sides),)
        return (reason("sides_few", good=good, sides=sides),)

    def lines(self) -> tuple[Reason, ...]:
        if self.good(LINES) and len(self.good(LINES)) == len(self.fitted[LINES]):
            return (reason("lines_up"),)
        return tuple(reason("line_low", point=one.id) for one in self.off(LINES))

    def look_at(self, board: Board) -> tuple[str, ...]:
        """The stages whose part of the picture is wrong, the first cause first."""
        stages = [board.signals[one].stage for one in self._lines_off()]
        if self.off(SIDES) and not self.is_fed:
            stages.append("standby" if self.good(FEED) else board.checks[SIDES].stage)
        return tuple(dict.fromkeys(stages))

    def _lines_off(self) -> list[str]:
        return [one.signal for one in self.off(LINES) if one.signal]
