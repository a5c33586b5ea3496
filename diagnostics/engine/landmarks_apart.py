"""Which measurement tells two circuits apart. PURE.

>>> apart(Circuit.MEMORY, Circuit.CPU)
Apart(mode='R', rails=('cpu.core', 'mem.q'))
"""

from collections.abc import Collection
from dataclasses import dataclass

from diagnostics.engine.boards import POWERED, Board
from diagnostics.engine.family import Check, Point
from diagnostics.engine.landmarks_figures import (
    CIRCUITS,
    OHMS_RANK,
    RAILS,
    Circuit,
)


@dataclass(frozen=True)
class Apart:
    """A meter mode (``R`` cold, ``V`` after power) and the rails, lower ohms first."""

    mode: str
    rails: tuple[str, str]


def apart(first: Circuit, second: Circuit) -> Apart:
    """Ohms to ground where their rank differs, else volts once there is power."""
    low, high = sorted((first, second), key=lambda one: (OHMS_RANK[one], one))
    mode = "V" if OHMS_RANK[low] == OHMS_RANK[high] else "R"
    return Apart(mode, (RAILS[low][0], RAILS[high][0]))


def points_of(board: Board, one: Apart) -> tuple[Point, ...]:
    """The points of this board where it is measured: one a rail that has such."""
    found = (_point(board, rail, one.mode) for rail in one.rails)
    return tuple(point for point in found if point is not None)


def _point(board: Board, rail: str, mode: str) -> Point | None:
    return next(
        (
            point
            for point in board.points.values()
            if point.rail == rail
            and point.pair is None
            and board.is_fitted(point.id)
            and _is_meant(board.check(point.check), mode)
        ),
        None,
    )


def _is_meant(check: Check, mode: str) -> bool:
    """Ohms without power; volts with it, and none of those that look for a charge."""
    is_powered = check.condition in POWERED
    return check.mode == mode and is_powered == (mode == "V")


def circuits_of(board: Board) -> tuple[Circuit, ...]:
    """The circuits of which this board has a rail."""
    return tuple(one for one in CIRCUITS if rails_of(board, one))


def rails_of(board: Board, circuit: Circuit) -> tuple[str, ...]:
    """The fitted rails that a circuit may serve."""
    return _fitted(board, RAILS[circuit])


def _fitted(board: Board, rails: Collection[str]) -> tuple[str, ...]:
    return tuple(one for one in rails if one in board.rails and board.is_fitted(one))
