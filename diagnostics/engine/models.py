"""What is made once for a board model: kernels, histograms, priors. PURE.

Making the predictions takes seconds; a reading then only reweighs them.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagnostics.engine.asks import Asker
from diagnostics.engine.assessment import Key
from diagnostics.engine.boards import Board
from diagnostics.engine.circuit.parts import Circuit, Fault, split
from diagnostics.engine.circuit.predict import Predictions, point_of
from diagnostics.engine.kernels import Kernels, kernels
from diagnostics.engine.priors import priors

HEALTHY = 0.05  # a board that came in is seldom well (judgement)
LEAST_MINUTES = 0.5
SHUNTS = frozenset({"short", "leak"})


@dataclass(frozen=True)
class Model:
    """A board model, ready to be asked about."""

    board: Board
    kernels: Kernels
    asker: Asker
    healthy: float = HEALTHY

    @property
    def faults(self) -> tuple[Fault, ...]:
        return self.kernels.predictions.faults

    @cached_property
    def before(self) -> np.typing.NDArray[np.float64]:
        """What the family believes of each fault before any reading."""
        return np.asarray(priors(self.board, self.faults, self.healthy))

    @cached_property
    def rows_of_part(self) -> dict[str, list[int]]:
        found: dict[str, list[int]] = {}
        for row, (part, _way) in enumerate(self.faults):
            found.setdefault(part, []).append(row)
        return found

    @cached_property
    def rows_of(self) -> dict[Key, list[int]]:
        """By part and way of failing, whatever the place."""
        found: dict[Key, list[int]] = {}
        for row, fault in enumerate(self.faults):
            part, mode, _place = split(fault)
            found.setdefault((part, mode), []).append(row)
        return found

    def bears_its_lack(self, part: str) -> bool:
        """Whether the board is whole without the part: it only hangs on a net."""
        circuit = self.board.family.circuit
        changes = [
            change
            for row in self.rows_of_part.get(part, ())
            for change in (circuit.faults[self.faults[row]] if circuit else ())
        ]
        return bool(changes) and all(change.kind in SHUNTS for change in changes)


def model_of(
    board: Board,
    predictions: Predictions,
    minutes: Callable[[str], float] | None = None,
    healthy: float = HEALTHY,
) -> Model:
    """A model from the predictions of its board, seconds of work spared.

    ``minutes`` by point; without it the family's own.
    """
    circuit = board.family.circuit
    assert circuit is not None
    pairs = twins(board, circuit, predictions)
    known = kernels(predictions, frozenset(point for pair in pairs for point in pair))
    cost = minutes or (lambda point: minutes_at(board, point))
    asker = Asker(
        known,
        lambda column: cost(point_of(column)),
        [(pair[-2], pair[-1]) for pair in pairs],
    )
    return Model(board, known, asker, healthy)


def minutes_at(board: Board, point_id: str) -> float:
    """Minutes for one point of a check; its points share the check's."""
    check = board.check(board.point(point_id).check)
    return max(LEAST_MINUTES, check.minutes / max(1, len(check.points)))


def twins(
    board: Board, circuit: Circuit, predictions: Predictions
) -> list[tuple[str, ...]]:
    """For each converter with several phases and each condition: the points of its
    rail and its phases, the phases last."""
    return [
        points
        for feed in circuit.feeds
        if len(feed.phases) > 1
        for condition in ("A", "B")
        if (points := _read_at((feed.to, *feed.phases), board, predictions, condition))
    ]


def _read_at(
    nets: Sequence[str], board: Board, predictions: Predictions, condition: str
) -> tuple[str, ...]:
    """Where the volts of all these nets are read in a condition, or nowhere."""
    of_volts = [
        board.point(column)
        for column, mode in zip(predictions.points, predictions.modes, strict=True)
        if mode == "V" and column in board.points
    ]
    by_net = {
        point.rail or point.signal: point.id
        for point in of_volts
        if board.check(point.check).condition == condition
    }
    points = tuple(by_net[net] for net in nets if net in by_net)
    return points if len(points) == len(nets) else ()
