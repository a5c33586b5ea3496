"""What was in the board while a reading was taken, and what it then counts as. PURE.

Read cold, a board has neither adapter nor pack in it, nor what its rails want out;
with its CPU in, some nets read otherwise, and have a column of their own. Under
power a pack feeds the board beside its adapter: nothing is predicted then. A rail
that is up only with something in the board says nothing without it.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from diagnostics.engine.boards import Board
from diagnostics.engine.circuit.parts import GROUND, Circuit
from diagnostics.engine.family import Check, Point
from diagnostics.engine.taken import ALWAYS_OUT

PACK = "pack"
NOTHING: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Wants:
    """What must be in the board and what must be out for a column to count.

    ``matters`` are the things with which there is another column.
    """

    must_be_in: frozenset[str]
    must_be_out: frozenset[str]
    matters: frozenset[str]

    def context(self, fitted: Collection[str]) -> frozenset[str] | None:
        """Which of what matters was in; ``None`` where the reading is no evidence."""
        if not self.must_be_in.issubset(fitted) or not self.must_be_out.isdisjoint(
            fitted
        ):
            return None
        return self.matters.intersection(fitted)


def wants_of(
    board: Board, circuit: Circuit, check: Check, point: Point, nets: Collection[str]
) -> Wants:
    """``nets`` are where the point is read."""
    rails = [board.rails[net] for net in _named(point) if net in board.rails]
    if check.is_powered:
        wanted = {one for rail in rails for one in rail.up_with}
        return Wants(frozenset(wanted), frozenset({PACK}), NOTHING)
    loads = [load for load in circuit.loads if load.net in nets]
    matters = frozenset(what for load in loads for what in load.fitted)
    out = {one for rail in rails if rail.ohms for one in rail.ohms.without}
    return Wants(NOTHING, frozenset({*ALWAYS_OUT, *out}) - matters, matters)


def contexts(wants: Wants) -> Iterator[frozenset[str]]:
    """Nothing that matters in the board, then each of it."""
    yield NOTHING
    for what in sorted(wants.matters):
        yield frozenset({what})


def _named(point: Point) -> Iterator[str]:
    for net in (point.rail, point.signal, *(point.pair or ())):
        if net and net != GROUND:
            yield net
