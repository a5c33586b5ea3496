"""What must not be done yet, and why: no power before the cold readings allow it. PURE.

A gate is a check that guards others. It passes when each of its fitted points
does: *good* passes, *bad* never, *watch* and *unclear* only as limited power; a
point that is not fitted passes; a reading from before an intervention on its
rail is stale and counts as unread.

The high-side gates may pass by arithmetic. The path through a high-side MOSFET
and its rail lies in parallel with main's other loads, so

    R main <= R high side + R rail,   hence   R high side >= R main - R rail:

with 500 ohms or more left over no high side can be shorted. Else it is read
across main and phase node, and should show no less than 0.7 of R main + R rail
(at most 1 kilohm is asked): a shorted main alone drags the reading down to the
rail's own few ohms, which a fixed number would call a shorted MOSFET.

A false *passed* puts the main rail on the processor; a false *held off* costs
one reading. Therefore every doubt holds.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property

from diagnostics.engine.boards import Board
from diagnostics.engine.family import Check, Point
from diagnostics.engine.reasons import Reason, reason
from diagnostics.engine.verdicts import Word, Yardstick

ARITHMETIC_OHMS = 500.0
SHARE_OF_SUM = 0.7
MOST_ASKED_OHMS = 1e3
# Below this sum main and rail are both next to nothing: only lifting tells (jd).
TOO_LOW_TO_TELL_OHMS = 1.0
TRUSTED = ("good", "watch")


@dataclass(frozen=True)
class Standing:
    """What stands at a point: the newest verdict word and the settled ohms.

    ``settled_ohms`` are net of leads, endless for OL; ``epoch_is_stale`` where an
    intervention touched the point's rail since; ``limited_power`` where a person
    let an unclear or unread gate pass.
    """

    word: str | None
    settled_ohms: float | None = None
    epoch_is_stale: bool = False
    limited_power: bool = False

    @property
    def standing_word(self) -> str | None:
        return None if self.epoch_is_stale else self.word


@dataclass(frozen=True)
class Hold:
    """A check that may not be done yet: its gate, why, and what would free it."""

    check_id: str
    gate_id: str
    reason: Reason
    frees: str


@dataclass(frozen=True)
class Gate:
    """Whether a gate lets pass, and why or why not."""

    is_passed: bool
    reason: Reason


Standings = Mapping[str, Standing]
UNREAD = Standing(word=None)


# --- what is held off -----------------------------------------------------------


def holds(board: Board, check_id: str, standings: Standings) -> tuple[Hold, ...]:
    """Every gate that holds a check off, in the family's order; empty: go ahead.

    Powered checks need the family's power gates besides their own, and are held
    off by any bad gate that guards power, even one that is not theirs.
    """
    return Gates(board, standings).holds(check_id)


class Gates:
    """All gates of a board as it stands, each looked at once."""

    def __init__(self, board: Board, standings: Standings) -> None:
        self.board = board
        self.standings = standings
        self._states: dict[str, Gate] = {}

    def holds(self, check_id: str) -> tuple[Hold, ...]:
        check = self.board.check(check_id)
        return tuple(
            Hold(check.id, gate_id, gate.reason, self._frees(gate_id, gate))
            for gate_id in self._gates_of(check)
            if not (gate := self.state(gate_id)).is_passed
        )

    def state(self, gate_id: str) -> Gate:
        if gate_id not in self._states:
            self._states[gate_id] = gate_state(self.board, gate_id, self.standings)
        return self._states[gate_id]

    def _gates_of(self, check: Check) -> list[str]:
        gates = list(check.gates)
        if check.is_powered:
            gates += [*self.board.family.power_gates, *self._bad_guards]
        return list(dict.fromkeys(gates))

    @cached_property
    def _bad_guards(self) -> list[str]:
        guards = self.board.guards_of_power
        return [gate for gate in guards if Word.BAD in self._words(gate)]

    def _words(self, check_id: str) -> list[str | None]:
        return [
            self.standings.get(point.id, UNREAD).standing_word
            for point in self.board.fitted_points(check_id)
        ]

    def _frees(self, gate_id: str, gate: Gate) -> str:
        """The check to do next so that the gate may pass: itself, or what it needs.

        A gate that was read is read again once the fault is cured.
        """
        if gate.reason.code not in {"gate_unread", "gate_stale"}:
            return gate_id
        check = self.board.check(gate_id)
        for before in (*check.gates, *check.needs):
            state = self.state(before)
            is_gate = before in check.gates
            if state.is_passed or (not is_gate and None not in self._words(before)):
                continue
            return self._frees(before, state)
        return gate_id


# --- whether a gate passes ------------------------------------------------------


def gate_passes(board: Board, gate_id: str, standings: Standings) -> bool:
    return gate_state(board, gate_id, standings).is_passed


def gate_state(board: Board, gate_id: str, standings: Standings) -> Gate:
    """Whether a gate passes, with the reason that weighs most."""
    check = board.check(gate_id)
    points = board.fitted_points(gate_id)
    if not points:
        return Gate(True, reason("gate_not_fitted", gate=check.id))
    states = [_point_state(board, check, point, standings) for point in points]
    failing = [state for state in states if not state.is_passed]
    return min(failing or states, key=_weight)


_WEIGHTS = (
    "gate_bad",
    "gate_unclear",
    "gate_watch",
    "gate_stale",
    "gate_unread",
    "gate_limited_power",
    "gate_by_arithmetic",
    "gate_good",
)


def _weight(gate: Gate) -> int:
    return _WEIGHTS.index(gate.reason.code)


def _point_state(
    board: Board, check: Check, point: Point, standings: Standings
) -> Gate:
    standing = standings.get(point.id, UNREAD)
    word = standing.standing_word
    at = {"gate": check.id, "point": point.id}
    if word == Word.BAD:
        return Gate(False, reason("gate_bad", **at))
    if word == Word.GOOD:
        return Gate(True, reason("gate_good", **at))
    left_over = left_over_ohms(board, check, point, standings)
    if left_over is not None and left_over >= ARITHMETIC_OHMS:
        why = reason(
            "gate_by_arithmetic", **at, ohms=left_over, asked_ohms=ARITHMETIC_OHMS
        )
        return Gate(True, why)
    if standing.limited_power:
        return Gate(True, reason("gate_limited_power", **at))
    if word is not None:
        return Gate(False, reason(f"gate_{word}", **at))
    return Gate(False, reason(_UNREAD[standing.epoch_is_stale], **at))


_UNREAD = {True: "gate_stale", False: "gate_unread"}


# --- high sides -----------------------------------------------------------------


def left_over_ohms(
    board: Board, check: Check, point: Point, standings: Standings
) -> float | None:
    """R main - R rail: the least that the high side can have, in ohms.

    Only from readings that stand: main's must be good or watch (OL on main is as
    likely a probe without contact).
    """
    if not check.by_arithmetic or point.pair is None:
        return None
    main, rail = point.pair
    of_main = _settled(board, main, standings, TRUSTED)
    of_rail = _settled(board, rail, standings, (*TRUSTED, "unclear"))
    if not of_main or not of_rail:
        return None
    return min(of_main) - max(of_rail)


def _settled(
    board: Board, rail_id: str, standings: Standings, words: Collection[str | None]
) -> list[float]:
    """The standing ohms to ground of a rail, at all of its cold points."""
    found = []
    for point in board.cold_points(rail_id):
        standing = standings.get(point.id, UNREAD)
        if standing.standing_word in words and standing.settled_ohms is not None:
            found.append(standing.settled_ohms)
    return [ohms for ohms in found if ohms != float("inf")]


def high_side_yardstick(main_ohms: float, rail_ohms: float) -> Yardstick | None:
    """What main to phase should read at least, from the ohms of main and rail.

    ``None`` where both are next to nothing. A technician's example: main 0.2,
    core 4.1 ohms, so 4.3 is as it should be, and 5 ohms would be too much asked.

    >>> round(high_side_yardstick(0.2, 4.1).limit_low, 2)
    3.01
    """
    total = main_ohms + rail_ohms
    if total < TOO_LOW_TO_TELL_OHMS:
        return None
    return Yardstick(
        unit="ohm",
        limit_low=min(SHARE_OF_SUM * total, MOST_ASKED_OHMS),
        limit_source="jd: 0.7 of main plus rail",
    )


def yardstick_of(
    board: Board,
    point_id: str,
    standings: Standings,
    *,
    condition: str = "",
    fitted: Collection[str] = frozenset(),
) -> Yardstick | None:
    """The board's yardstick, and for main to phase the one by its two rails."""
    point = board.point(point_id)
    check = board.check(point.check)
    if not check.by_arithmetic or point.pair is None:
        return board.yardstick(point_id, condition=condition, fitted=fitted)
    ends = [_settled(board, rail, standings, tuple(Word)) for rail in point.pair]
    if not all(ends):
        return None
    main, rail = (min(ohms) for ohms in ends)
    return high_side_yardstick(main, rail)
