"""Rows of the reasoning: a reading to suspects and ranked checks, beside pgmpy.

The benchmark's board, the largest family with a circuit, as one with a USB-C input.
Both are asked after the same readings; pgmpy in the engine's own bins, with fault
and board as nodes: its shares, and fault and answer together for every open check,
from which a ranking would still have to be made. With pairs its fault node has a
state for every two faults (gigabytes, a minute to build); ours opens those that may
explain what is read.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from diagnostics.deadboards.family import benchmark_board
from diagnostics.deadboards.player import model_of
from diagnostics.engine import discrete
from diagnostics.engine.ahead import Whole
from diagnostics.engine.circuit.cloud import BOARDS
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.foresight import Prices, foreseen
from diagnostics.engine.models import Model
from diagnostics.engine.naming import names
from diagnostics.engine.pairs import P_PAIR, opened
from diagnostics.engine.weigh import Weighing
from diagnostics.engine.worth import RETEST_MINUTES, repair_minutes
from tests.engine.made_up import table_of
from tests.measuring.rows import Row, row
from tests.published.elimination import eliminated, eliminator

FAMILY = "laptop-usbc"
READ = {  # a board that stays off: what the first checks of a search show
    "adapter_jack.ohms.unpowered/adapter_jack": 2.1e5,
    "main_rail.ohms.unpowered/main_rail": 1.6e5,
    "supply_current.adapter_in/supply_current": 0.012,
    "supply_current.button/supply_current": 0.024,
    "standby_5v.volts.adapter_in/standby_5v": 5.03,
    "flash_supply.ohms.unpowered/flash_supply": 2744.0,
}
SHOWN = ("p.flash_chip", "corrupt")


def reasoning(rounds: int, boards: int = BOARDS) -> Iterator[Row]:
    thinking = Thinking(boards)
    few = max(1, rounds // 20)
    yield row("reading to checks", thinking.ours, thinking.library, few)
    yield row("and looking ahead", thinking.ahead, thinking.library, few)
    yield row("the same in bins", thinking.in_bins, thinking.library, few)
    yield row("pairs included", thinking.with_pairs, thinking.library_of_pairs, few)


Shares = tuple[Floats, list[Floats]]


@dataclass(frozen=True)
class Thinking:
    boards: int

    @cached_property
    def model(self) -> Model:
        board = benchmark_board(FAMILY)
        fitted = [one for one in board.checks if board.fitted_points(one)]
        minutes = {check: board.check(check).minutes for check in fitted}
        return model_of(FAMILY, minutes, self.boards)

    def ours(self) -> object:
        """All readings weighed anew, the names, and every open check ranked."""
        weighing = self.weighed()
        shares, _else, _boards = weighing.posterior()
        outlook = self.model.asker.outlook(weighing, self.is_open)
        return names(self.model.kernels.predictions.faults, shares), outlook.asks()

    def ahead(self) -> object:
        """The same, and the best first check by looking ahead."""
        outlook = self.model.asker.outlook(self.weighed(), self.is_open)
        return outlook.asks(), foreseen(outlook, Prices(self.wrong_minutes))

    def weighed(self) -> Weighing:
        weighing = Weighing(self.model.kernels, self.model.before)
        for point, value in READ.items():
            weighing.take(point, value)
        return weighing

    def is_open(self, point: str) -> bool:
        return point not in READ

    def wrong_minutes(self, part: str) -> float:
        return repair_minutes(self.model.board, part) + RETEST_MINUTES

    def with_pairs(self) -> object:
        """The same, with every pair looked at that may explain what was read."""
        weighing = self.weighed()
        outlook = self.model.asker.outlook(weighing, self.is_open)
        return opened(weighing, weighing.told), outlook.asks()

    # --- in bins

    @cached_property
    def places(self) -> list[int]:
        """Of the checks read, then of all that may tell something, the best first."""
        asks = self.model.asker.outlook(self.weighed(), self.is_open).asks()
        points = [*READ, *(one.point for one in asks)]
        return [self.model.asker.points.index(point) for point in points]

    @cached_property
    def tables(self) -> list[Floats]:
        return [table_of(self.model.asker.histograms[at]) for at in self.places]

    @cached_property
    def answers(self) -> dict[int, int]:
        """What the checks read show, on one virtual board with one fault."""
        fault = self.model.kernels.predictions.faults.index(SHOWN)
        return {n: int(self.tables[n][fault, :, 0].argmax()) for n in range(len(READ))}

    @cached_property
    def elimination(self) -> Any:
        return eliminator(self.model.before, self.tables)

    def in_bins(self) -> Shares:
        """Faults after the answers, and what each open check would show."""
        told = [(self.tables[n], answer) for n, answer in self.answers.items()]
        shares, boards = discrete.posterior(self.model.before, told)
        rows = [discrete.foretold(table, boards) for table in self.tables[len(READ) :]]
        return shares, [shares[:, None] * one for one in rows]

    def library(self) -> Shares:
        return self._of(self.elimination)

    def _of(self, elimination: Any) -> Shares:
        """The same of the library."""
        rows = [
            eliminated(elimination, ["fault", f"check{n}"], self.answers)
            for n in range(len(READ), len(self.tables))
        ]
        return eliminated(elimination, ["fault"], self.answers), rows

    # --- pairs in bins

    @cached_property
    def pairs_elimination(self) -> Any:
        """Every fault and every pair; each shows where the other changes nothing."""
        before = self.model.before
        first, second = np.triu_indices(len(before), k=1)
        priors = np.concatenate([before, P_PAIR * before[first] * before[second]])
        tables = (
            np.concatenate([table, self._of_pairs(n, first, second)])
            for n, table in enumerate(self.tables)
        )
        return eliminator(priors / priors.sum(), tables)

    def _of_pairs(self, n: int, first: Whole, second: Whole) -> Floats:
        table = self.tables[n]
        touched = self.model.kernels.touched[:, None, self.places[n]]
        its, theirs = touched[first], touched[second]
        mean = (table[first] + table[second]) / 2
        made: Floats = np.where(theirs, table[second], table[first])
        return np.where(its & theirs, mean, made)

    def library_of_pairs(self) -> Shares:
        return self._of(self.pairs_elimination)
