"""What the checks of a repair took, against its board's whole walk. PURE.

saved = minutes of every check of the walk - minutes of the checks that were taken

Minutes are the family's; points share their check's. What is taken on request alone
is not of the walk.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from statistics import fmean

from diagnostics.engine.boards import Board
from shop.office.figures import FEWEST


@dataclass(frozen=True)
class Spent:
    """Minutes of one repair's checks, and of its board's whole walk."""

    taken: float
    walk: float

    @property
    def saved(self) -> float:
        return self.walk - self.taken


@dataclass(frozen=True)
class Saved:
    """Means over ``repairs``, minutes."""

    repairs: int
    taken: float
    walk: float

    @property
    def saved(self) -> float:
        return self.walk - self.taken


def walk_minutes(board: Board) -> float:
    return sum(
        check.minutes
        for stage in board.family.stages
        for check in board.walk(stage.id)
        if not check.is_on_request and board.fitted_points(check.id)
    )


def minutes_of(board: Board, points: Collection[str]) -> float:
    """Of points that the board knows: a check half taken costs half."""
    return sum(
        check.minutes / max(1, len(board.fitted_points(check.id)))
        for point_id in points
        if point_id in board.points
        for check in [board.check(board.points[point_id].check)]
    )


def mean_of(each: Sequence[Spent]) -> Saved | None:
    """None for fewer than three."""
    if len(each) < FEWEST:
        return None
    taken, walk = fmean(one.taken for one in each), fmean(one.walk for one in each)
    return Saved(len(each), taken, walk)
