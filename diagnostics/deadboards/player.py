"""The engine at the benchmark: asks one check at a time and names the part."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from diagnostics.deadboards.family import benchmark_board, point_id
from diagnostics.engine import models
from diagnostics.engine.asks import Outlook
from diagnostics.engine.circuit.cloud import BOARDS
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.predict import Predictions, predict
from diagnostics.engine.foresight import Prices, foreseen
from diagnostics.engine.kernels import Usual
from diagnostics.engine.models import Model
from diagnostics.engine.naming import confidence, names
from diagnostics.engine.weigh import Weighing
from diagnostics.engine.worth import SHARE_OF_WRONG, worth_of_a_nat, wrong_minutes

HEALTHY = 0.1  # about one board in ten, says the benchmark
MOST_MINUTES = 150.0
NAMED = 5
Value = float | str


def model_of(family: str, costs: Mapping[str, float], boards: int = BOARDS) -> Model:
    """The model of a family; its predictions take seconds the first time."""
    board, predictions = benchmark_board(family), predictions_of(family, boards)
    return models.model_of(
        board, predictions, lambda point: costs[check_of(point)], HEALTHY
    )


@lru_cache(maxsize=4)
def predictions_of(family: str, boards: int = BOARDS) -> Predictions:
    return predict(benchmark_board(family), boards)


def check_of(point: str) -> str:
    """The benchmark's name of a check, from its point."""
    return point.partition("/")[0]


@dataclass
class Play:
    """One board being asked about.

    ``weight`` times what a wrong name costs, from impatient to careful.
    ``is_greedy`` asks what tells most for a minute and looks no further.
    ``before`` and ``usual`` are what was learned of its model, where something was.
    """

    model: Model
    costs: Mapping[str, float]
    weight: float = 1.0
    is_greedy: bool = False
    before: Floats | None = None
    usual: Mapping[int, Usual] = field(default_factory=dict)
    minutes: float = 0.0
    readings: dict[str, Value] = field(default_factory=dict)
    _is_shorted: bool = False

    def __post_init__(self) -> None:
        before = self.model.before if self.before is None else self.before
        self.weighing = Weighing(self.model.kernels, before, usual=self.usual)

    @property
    def asked(self) -> list[str]:
        """The checks read, in their order."""
        return [*self.readings]

    def take(self, check: str, value: Value) -> None:
        """A reading came in."""
        self.readings[check] = value
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
        outlook = self.model.asker.outlook(self.weighing, self._is_open)
        point = self._greedy(outlook) if self.is_greedy else self._ahead(outlook)
        if point is None:
            return None
        check = check_of(point)
        if self.model.board.check(check).is_powered:
            return next(iter(self._unread_gates()), check)
        return check

    def _ahead(self, outlook: Outlook) -> str | None:
        stop, found = foreseen(outlook, Prices(self.wrong_minutes))
        return found[0].point if found and found[0].minutes < stop else None

    def wrong_minutes(self, part: str) -> float:
        """What it costs here to name a part where it is another."""
        return self.weight * wrong_minutes(self.model.board, part)

    def _greedy(self, outlook: Outlook) -> str | None:
        asks = outlook.asks()
        if not asks or asks[0].rate * self.worth_of_a_nat() < 1:
            return None
        return asks[0].point

    def worth_of_a_nat(self) -> float:
        """Minutes: a share of what a wrong name would cost here, part by part."""
        shares, _other, _boards = self.weighing.posterior()
        faults = self.model.kernels.predictions.faults
        share = self.weight * SHARE_OF_WRONG
        return worth_of_a_nat(self.model.board, faults, shares, share)

    def _unread_gates(self) -> list[str]:
        gates = self.model.board.family.power_gates
        return [gate for gate in gates if gate not in self.readings]

    def _is_open(self, point: str) -> bool:
        check = check_of(point)
        if check in self.readings or check not in self.costs:
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
