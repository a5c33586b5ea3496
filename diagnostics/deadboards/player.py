"""The engine at the benchmark: asks one check at a time and names the part."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from diagnostics.deadboards.family import benchmark_board, point_id
from diagnostics.engine.asks import Asker
from diagnostics.engine.boards import Board
from diagnostics.engine.circuit.cloud import BOARDS
from diagnostics.engine.circuit.parts import Circuit
from diagnostics.engine.circuit.predict import Predictions, predict
from diagnostics.engine.kernels import Kernels, kernels
from diagnostics.engine.naming import confidence, names
from diagnostics.engine.priors import priors
from diagnostics.engine.weigh import Weighing

HEALTHY = 0.1  # about one board in ten, says the benchmark
MOST_MINUTES = 150.0
# One more nat is worth this share of what a wrong name costs: the frontier of right
# names against minutes bends there (manage.py deadboards --frontier prints it).
SHARE_OF_WRONG = 0.4
NAMED = 5
RETEST_MINUTES = 30.0  # proof of a repair, short list (domain brief, section 8)
RETURN_MINUTES = 60.0  # a board called healthy that comes back (judgement)
Value = float | str


@dataclass(frozen=True)
class Model:
    """All that is made once for one of the benchmark's families."""

    board: Board
    kernels: Kernels
    asker: Asker


def model_of(family: str, costs: Mapping[str, float], boards: int = BOARDS) -> Model:
    """The model of a family; its predictions take seconds the first time."""
    board = benchmark_board(family)
    predictions = predictions_of(family, boards)
    circuit = board.family.circuit
    assert circuit is not None
    pairs = twins(board, circuit, predictions)
    known = kernels(predictions, frozenset(point for pair in pairs for point in pair))
    asker = Asker(
        known,
        lambda point: costs[check_of(point)],
        [(pair[-2], pair[-1]) for pair in pairs],
    )
    return Model(board, known, asker)


@lru_cache(maxsize=4)
def predictions_of(family: str, boards: int = BOARDS) -> Predictions:
    return predict(benchmark_board(family), boards)


def check_of(point: str) -> str:
    """The benchmark's name of a check, from its point."""
    return point.partition("/")[0]


def twins(
    board: Board, circuit: Circuit, predictions: Predictions
) -> list[tuple[str, ...]]:
    """For each converter with several phases and each condition: the points of its
    rail and its phases, the phases last."""
    found = []
    for feed in circuit.feeds:
        if len(feed.phases) < 2:
            continue
        nets = (feed.to, *feed.phases)
        for condition in ("A", "B"):
            by_net = {
                board.point(point).rail or board.point(point).signal: point
                for point, mode in zip(
                    predictions.points, predictions.modes, strict=True
                )
                if mode == "V"
                and board.check(board.point(point).check).condition == condition
            }
            points = tuple(by_net[net] for net in nets if net in by_net)
            if len(points) == len(nets):
                found.append(points)
    return found


@dataclass
class Play:
    """One board being asked about."""

    model: Model
    costs: Mapping[str, float]
    share_of_wrong: float = SHARE_OF_WRONG
    minutes: float = 0.0
    asked: list[str] = field(default_factory=list)
    _is_shorted: bool = False

    def __post_init__(self) -> None:
        known = self.model.kernels
        before = priors(self.model.board, known.predictions.faults, HEALTHY)
        self.weighing = Weighing(known, before)

    def take(self, check: str, value: Value) -> None:
        """A reading came in."""
        self.asked.append(check)
        self.minutes += self.costs[check]
        number = None if isinstance(value, str) else float(value)
        point = self.model.board.point(point_id(check))
        self.weighing.take(point.id, number)
        gates = self.model.board.family.power_gates
        ohms = self.model.board.rails[point.rail].ohms if point.rail else None
        if check in gates and number is not None and ohms is not None:
            self._is_shorted |= number < ohms.short_below

    def next_ask(self) -> str | None:
        """The check worth its minutes, or ``None``: then it is time to name.

        Power waits for its gates: where a powered check is worth most, the first
        unread gate is asked instead.
        """
        if self.minutes >= MOST_MINUTES:
            return None
        asks = self.model.asker.asks(self.weighing, self._is_open)
        if not asks or asks[0].rate * self.worth_of_a_nat() < 1:
            return None
        check = check_of(asks[0].point)
        if self.model.board.check(check).is_powered:
            return next(iter(self._unread_gates()), check)
        return check

    def worth_of_a_nat(self) -> float:
        """Minutes: a share of what a wrong name would cost here, part by part."""
        shares, _other, _boards = self.weighing.posterior()
        parts = self.model.board.parts
        faults = self.model.kernels.predictions.faults
        minutes = [
            sum(parts[p].minutes) / 2 if p else RETURN_MINUTES for p, _w in faults
        ]
        wrong = float(shares @ np.array(minutes)) + RETEST_MINUTES
        return self.share_of_wrong * wrong

    def _unread_gates(self) -> list[str]:
        gates = self.model.board.family.power_gates
        return [gate for gate in gates if gate not in self.asked]

    def _is_open(self, point: str) -> bool:
        check = check_of(point)
        if check in self.asked or check not in self.costs:
            return False
        return not (self._is_shorted and self.model.board.check(check).is_powered)

    def answer(self) -> tuple[list[str], float]:
        """Names as the benchmark has them, best first, and how sure the first is."""
        shares, _else, _boards = self.weighing.posterior()
        faults = self.model.kernels.predictions.faults
        ranked = names(faults, shares)
        sure = confidence(self.model.asker, self.weighing, self._is_open)
        named = [one.part.removeprefix("p.") or "none" for one in ranked[:NAMED]]
        return named, sure
