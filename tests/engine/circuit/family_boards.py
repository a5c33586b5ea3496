"""Predictions of our families on a few virtual boards, made once for all tests."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from diagnostics.engine.boards import Board, Patch, board_of, load_family
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import NO_FAULT, Fault
from diagnostics.engine.circuit.predict import Predictions, point_of, predict
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.verdicts import judge
from diagnostics.engine.yardsticks import Observed

BOARDS = 16


@dataclass(frozen=True)
class Seen:
    """A board and what is predicted of it."""

    board: Board
    found: Predictions

    def values(self, fault: Fault, column: str) -> Floats:
        found: Floats = self.found.means[
            self.found.faults.index(fault), self.found.points.index(column)
        ]
        return found

    def columns(self, net: str, modes: str) -> list[str]:
        """The columns at which a rail or line is read in these meter modes."""
        return [
            column
            for column, mode in zip(self.found.points, self.found.modes, strict=True)
            if mode in modes and net in self._nets(column)
        ]

    def _nets(self, column: str) -> tuple[str | None, ...]:
        point = self.board.point(point_of(column))
        return (point.rail, point.signal)

    def chance(self, fault: Fault, point: str, answer: str) -> Floats:
        chances = self.found.answers[point]
        found: Floats = chances.shares[
            self.found.faults.index(fault), chances.names.index(answer)
        ]
        return found


@cache
def seen(family: str, *patches: str) -> Seen:
    """All faults; patches as ``key=value``."""
    board = _board(family, patches)
    return Seen(board, predict(board, BOARDS))


@cache
def good(family: str, *patches: str) -> Seen:
    """Of good boards alone, which is quick."""
    board = _board(family, patches)
    circuit = board.family.circuit
    assert circuit is not None
    only = replace(board.family, circuit=replace(circuit, faults={NO_FAULT: ()}))
    return Seen(board, predict(replace(board, family=only), BOARDS))


def _board(family: str, patches: tuple[str, ...]) -> Board:
    split = [one.split("=") for one in patches]
    made = [Patch(k, int(v) if v.isdigit() else v) for k, v in split]
    return board_of(load_family(family), made)


def words(of: Seen, column: str) -> Iterator[str]:
    """The verdict of every virtual board's reading, by the family's own figures."""
    point_id, *context = column.split("+")
    point = of.board.point(point_id)
    check = of.board.check(point.check)
    yardstick = of.board.yardstick(point_id, condition=check.condition, fitted=context)
    if yardstick is None:
        return
    for value in of.values(NO_FAULT, column):
        is_ol = bool(np.isnan(value))
        observed = Observed(
            Outcome.OVER_LIMIT if is_ol else Outcome.VALUE,
            None if is_ol else float(value),
            u=1e-4 + 1e-3 * abs(float(np.nan_to_num(value))),
            mode=check.mode,
            polarity=point.polarity if check.mode == "D" else "",
            four_wire=True,
            fitted=frozenset({*context, *yardstick.only_with}),
        )
        yield judge(observed, yardstick).word.value
