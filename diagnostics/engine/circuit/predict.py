"""What every check should read, for every fault, on a cloud of virtual boards. PURE.

Readings of one board are not independent given the fault: one board shares its
design, its junctions and its meter. So each fault has a sample for every virtual
board, and all readings of a board are weighed together (``weigh``).

Made once for a board and kept: seconds. Arrays run (faults, points, boards), SI,
``nan`` for OL; ``NO_FAULT`` comes first.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnostics.engine.boards import Board
from diagnostics.engine.circuit import cold, powered
from diagnostics.engine.circuit.cloud import BOARDS, SEED, Cloud
from diagnostics.engine.circuit.cold import Probe
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import GROUND, NO_FAULT, Circuit, Fault
from diagnostics.engine.family import Check, Point
from diagnostics.engine.verdicts import RED_ON_GROUND

COLD_MODES = frozenset("RCD")
# A fault changes a reading when it moves it by more than these, or by 2 %.
MOVES = {"R": 0.05, "C": 0.05, "D": 0.01, "V": 0.02, "I": 0.004}
MOVES_SHARE = 0.02
BLURS = 0.05
TOUCHES_SHARE = 0.02  # of the boards


@dataclass(frozen=True)
class Predictions:
    """Means, own blur and what each fault touches, point by point.

    ``touched`` (faults, points, boards): where the reading differs from that of the
    same board without the fault.
    """

    faults: tuple[Fault, ...]
    points: tuple[str, ...]
    modes: tuple[str, ...]
    means: Floats
    blurs: Floats
    touched: np.typing.NDArray[np.bool_]


def predict(board: Board, boards: int = BOARDS, seed: int = SEED) -> Predictions:
    """The predictions of a board whose family has a circuit.

    Raises ``ValueError`` for a family without one.
    """
    circuit = board.family.circuit
    if circuit is None:
        raise ValueError("the family has no circuit")
    cloud = Cloud(circuit, boards, seed)
    faults = faults_of(board, circuit)
    points = [point for point in _points(board) if _is_predicted(board, point, circuit)]
    shape = (len(faults), len(points), boards)
    means, blurs = np.zeros(shape), np.zeros(shape)
    _put_cold(board, cloud, faults, points, means)
    for row, fault in enumerate(faults):
        _put_powered(board, cloud, points, fault, (means[row], blurs[row]))
    modes = tuple(board.check(point.check).mode for point in points)
    return Predictions(
        faults,
        tuple(point.id for point in points),
        modes,
        means,
        blurs,
        _touched(means, blurs, modes),
    )


def faults_of(board: Board, circuit: Circuit) -> tuple[Fault, ...]:
    """No fault, and every way of failing of a part that is fitted."""
    return tuple(
        fault
        for fault in circuit.faults
        if fault == NO_FAULT or _may_fail(board, fault)
    )


def _may_fail(board: Board, fault: Fault) -> bool:
    part = board.parts[fault[0]]
    mode = next(mode for mode in part.modes if mode.id == fault[1])
    nets = [net for net in mode.touches if net in {**board.rails, **board.signals}]
    return board.is_fitted(part.id) and (
        not nets or any(board.is_fitted(net) for net in nets)
    )


def _points(board: Board) -> list[Point]:
    return [
        point
        for check in board.checks.values()
        for point in board.fitted_points(check.id)
    ]


def _is_predicted(board: Board, point: Point, circuit: Circuit) -> bool:
    check, nets = board.check(point.check), {*circuit.nets, GROUND}
    net = point.rail or point.signal or ""
    if check.is_powered:
        is_read = check.mode == "V" and READ_AT.get(net, net) in nets
        return check.mode == "I" or is_read
    ends = point.pair or (net,)
    return check.mode in COLD_MODES and nets.issuperset(ends)


# --- cold -----------------------------------------------------------------------


def _put_cold(
    board: Board,
    cloud: Cloud,
    faults: Sequence[Fault],
    points: Sequence[Point],
    means: Floats,
) -> None:
    cold_points = [
        (number, _probe(board.check(point.check), point))
        for number, point in enumerate(points)
        if board.check(point.check).mode in COLD_MODES
    ]
    found = cold.readings(cloud, [probe for _number, probe in cold_points], faults)
    for place, one in enumerate(cold_points):
        means[:, one[0]] = found[place]


def _probe(check: Check, point: Point) -> Probe:
    mode = "D" if check.mode == "D" else "R"
    if point.pair is not None:
        return Probe(mode, *point.pair, check.opens)
    net = point.rail or point.signal or ""
    if point.polarity == RED_ON_GROUND:
        return Probe(mode, GROUND, net, check.opens)
    return Probe(mode, net, GROUND, check.opens)


# --- powered --------------------------------------------------------------------

READ_AT = {"button_press": "power_button"}
"""Signals that are read at another net while the button is held."""


def _put_powered(
    board: Board,
    cloud: Cloud,
    points: Sequence[Point],
    fault: Fault,
    into: tuple[Floats, Floats],
) -> None:
    """Means and blurs (points, boards) of one fault, condition by condition."""
    means, blurs = into
    states: dict[str, powered.Powered] = {}
    for number, point in enumerate(points):
        check = board.check(point.check)
        if not check.is_powered:
            continue
        net = point.rail or point.signal or ""
        condition = powered.PRESSED if net in READ_AT else check.condition
        if condition not in states:
            states[condition] = powered.Powered(cloud, fault, condition)
        state = states[condition]
        if check.mode == "I":
            means[number], blurs[number] = powered.supply_amps(state)
        else:
            net = READ_AT.get(net, net)
            means[number], blurs[number] = state.volts[net], state.blur[net]


# --- what a fault touches ---------------------------------------------------------


def _touched(
    means: Floats, blurs: Floats, modes: Sequence[str]
) -> np.typing.NDArray[np.bool_]:
    good, steady = means[:1], blurs[:1]
    is_open, was_open = np.isnan(means), np.isnan(good)
    moved = np.abs(means - good)
    least = np.array([MOVES[mode] for mode in modes])[None, :, None]
    differs = (moved > least) & (moved > MOVES_SHARE * np.abs(good))
    found: np.typing.NDArray[np.bool_] = np.where(
        is_open | was_open, is_open != was_open, differs
    ) | (np.abs(blurs - steady) > BLURS)
    found[0] = False
    return found
