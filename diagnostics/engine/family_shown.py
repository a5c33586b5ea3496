"""What each way of failing of a family shows at every point. PURE.

By the family's circuit where it has one: marks of what a few virtual boards read,
alike for two faults where these change the same. Else by the rail tree: the state
that a reading there would show.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnostics.engine.boards import Board
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.of_board import faults_of as faults_of_circuit
from diagnostics.engine.circuit.parts import NO_FAULT, Change, Fault
from diagnostics.engine.circuit.predict import Predictions, point_of, predict
from diagnostics.engine.readings_as import kind_of, state_at
from diagnostics.engine.spread import NO_FAULT as SOUND
from diagnostics.engine.spread import Fault as TreeFault
from diagnostics.engine.spread import Spread, faults_of

FEW_BOARDS = 8

Shown = Mapping[str, str]
"""By point, a mark of what a reading there would show."""


@dataclass(frozen=True)
class OnBoard:
    """What a good board shows, and each way of failing with the faults it may be."""

    sound: Shown
    faulty: Mapping[Fault, tuple[Shown, ...]]


def shown_on(boards: Sequence[Board]) -> Iterator[OnBoard]:
    """The plain board comes first.

    By the circuit another is looked at only where it can fail in a way that those
    before can't: it takes seconds.
    """
    known: set[Fault] = set()
    for board in boards:
        circuit = board.family.circuit
        if circuit is None:
            yield _by_tree(board)
        elif not known.issuperset(here := faults_of_circuit(board, circuit)):
            known.update(here)
            yield _by_circuit(board)


# --- by the rail tree -----------------------------------------------------------------


def _by_tree(board: Board) -> OnBoard:
    faulty = {
        (part.id, mode.id): tuple(_at(board, one) for one in faults_of(board, mode))
        for part in board.parts.values()
        for mode in part.modes
    }
    return OnBoard(_at(board, SOUND), faulty)


def _at(board: Board, fault: TreeFault) -> Shown:
    spread = Spread(board, fault)
    return {
        point.id: state_at(spread, point, kind)
        for point in board.points.values()
        if board.is_fitted(point.id) and (kind := kind_of(board, point)) is not None
    }


# --- by the circuit -------------------------------------------------------------------


def _by_circuit(board: Board) -> OnBoard:
    found = predict(board, FEW_BOARDS, is_even=True)
    marks = {fault: _marks(found, row) for row, fault in enumerate(found.faults)}
    sound = marks.pop(NO_FAULT)
    return OnBoard(sound, {fault: (shown,) for fault, shown in marks.items()})


def _marks(found: Predictions, row: int) -> Shown:
    marks: dict[str, str] = {}
    for number, label in enumerate(found.points):
        read = (found.means[row, number], found.blurs[row, number])
        marks[label] = " ".join(_mark(one) for one in read)
    for point, chances in found.answers.items():
        marks[f"{point}+"] = _mark(chances.shares[row])
    joined: dict[str, str] = {}
    for label, mark in marks.items():
        point = point_of(label)
        joined[point] = f"{joined.get(point, '')}|{mark}"
    return joined


def _mark(values: Floats) -> str:
    """Four digits: what rounding leaves of equal sums in another order is no sign."""
    settled = np.where(np.abs(values) < SMALLEST, 0.0, values)
    return ",".join(f"{value:.4g}" for value in settled.ravel())


SMALLEST = 1e-9


def without_effect(board: Board, whole: OnBoard) -> Iterator[tuple[Fault, int]]:
    """Changes of a fault without which it shows the very same, by their place.

    ``whole`` is what the board shows with all of them.
    """
    circuit = board.family.circuit
    if circuit is None:
        return
    several = {
        fault: changes
        for fault, changes in circuit.faults.items()
        if len(changes) > 1 and fault in whole.faulty
    }
    for place in range(max(map(len, several.values()), default=0)):
        fewer = {
            fault: _without(changes, place)
            for fault, changes in several.items()
            if len(changes) > place
        }
        family = replace(
            board.family, circuit=replace(circuit, faults={NO_FAULT: (), **fewer})
        )
        left = _by_circuit(replace(board, family=family))
        for fault, shown in left.faulty.items():
            if shown == whole.faulty[fault]:
                yield fault, place


def _without(changes: tuple[Change, ...], place: int) -> tuple[Change, ...]:
    return (*changes[:place], *changes[place + 1 :])
