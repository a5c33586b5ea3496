"""Rows of the engine alone: one reading, and ten thousand beside bare numpy."""

import random
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import inf, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import special  # type: ignore[import-untyped]

from diagnostics import bridge
from diagnostics.engine import meters, quantities, verdicts
from diagnostics.engine.boards import Board
from diagnostics.engine.family import Point
from diagnostics.engine.yardsticks import Yardstick
from diagnostics.models import Polarity, Reading
from tests.measuring.rows import Row, row

FAMILY = "laptop_barrel"
MANY = 10_000
LEADS = 0.2
DIGIT = 0.01
MODES = {"V", "R", "D", "C"}
Floats = NDArray[np.float64]


def parse_and_verdict(rounds: int) -> Row:
    """One typed reading to its verdict, against the bare arithmetic of it."""
    yardstick = bridge.engine_board(FAMILY, {}).yardstick("k32/sb.33")

    def ours() -> verdicts.Verdict:
        typed = quantities.parse("3,28 V", "V")
        assert typed.value is not None
        error = meters.standard_uncertainty(
            meters.HANDHELD, "V", typed.value, typed.digit
        )
        seen = verdicts.Observed(
            outcome=typed.outcome, value=typed.value, u=error.u, mode="V"
        )
        return verdicts.judge(seen, yardstick)

    def reference() -> float:
        return verdicts.p_inside(float("3.28"), 0.0107, 3.135, 3.465)

    return row("parse and verdict", ours, reference, rounds)


def many_judged(rounds: int, seed: int, count: int = MANY) -> Row:
    """Readings of a board's every point, judged as the pages do, rows and all."""
    many = Many(count, seed)
    return row(f"{count} judged", many.ours, many.in_numpy, rounds)


@dataclass(frozen=True)
class Many:
    """The same readings as rows for us and as columns for numpy."""

    count: int
    seed: int

    @cached_property
    def board(self) -> Board:
        return bridge.engine_board(FAMILY, {})

    @cached_property
    def rows(self) -> list[Reading]:
        """Around each yardstick's ends, where verdicts differ."""
        chance = random.Random(self.seed)
        points = [
            (point, yardstick)
            for point in self.board.points.values()
            if self.board.check(point.check).mode in MODES
            and (yardstick := self.board.yardstick(point.id))
            and yardstick.has_limit
        ]
        return [
            self.read(number, *points[number % len(points)], chance.uniform(0.9, 1.3))
            for number in range(self.count)
        ]

    def read(
        self, number: int, point: Point, yardstick: Yardstick, factor: float
    ) -> Reading:
        check = self.board.check(point.check)
        near = yardstick.limit_low or yardstick.limit_high or 1.0
        return Reading(
            pk=number,
            check_id=check.id,
            point_id=point.id,
            mode=check.mode,
            polarity=point.polarity or Polarity.RED_ON_POINT,
            condition=check.condition,
            outcome=quantities.Outcome.VALUE.value,
            value=near * factor,
            unit=point.unit,
            decimals=2,
            digit=DIGIT,
            lead_ohms=LEADS,
        )

    def ours(self) -> Sequence[bridge.Judged]:
        return bridge.judged_all(self.board, self.rows)

    @cached_property
    def columns(self) -> "Columns":
        return columns_of(self.board, self.rows)

    def in_numpy(self) -> Floats:
        """Chance of conformity of each, by array arithmetic alone."""
        given = self.columns
        bound = np.abs(given.value) * given.percent / 100 + given.counts * given.digit
        u = bound / sqrt(3)
        net = np.maximum(given.value - given.leads, given.least)
        above = special.ndtr((given.high - net) / u)
        below = special.ndtr((given.low - net) / u)
        chance: Floats = np.maximum(above - below, 0.0)
        return chance


@dataclass(frozen=True)
class Columns:
    value: Floats
    leads: Floats
    least: Floats
    percent: Floats
    counts: Floats
    digit: Floats
    low: Floats
    high: Floats


def columns_of(board: Board, rows: Sequence[Reading]) -> Columns:
    lines = [line_of(board, one) for one in rows]
    return Columns(*(np.array(column) for column in zip(*lines, strict=True)))


def line_of(board: Board, one: Reading) -> tuple[float, ...]:
    """A reading, its range's accuracy and its limits, as plain numbers."""
    value, yardstick = one.value or 0.0, board.yardstick(one.point_id)
    assert yardstick is not None
    chosen = meters.range_for(meters.HANDHELD, one.mode, value)
    low, high = yardstick.low, yardstick.limit_high
    has_leads = one.mode in {"R", "C"} and not yardstick.is_of_leads
    return (
        value,
        LEADS if has_leads else 0.0,
        0.0 if has_leads else -inf,
        chosen.percent,
        chosen.counts,
        max(chosen.digit, DIGIT),
        -inf if low is None else low,
        inf if high is None else high,
    )
