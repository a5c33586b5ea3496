"""How near a reading must come to what a virtual board reads. PURE.

Every prediction becomes the centre of a kernel on its mode's scale: ohms on their
logarithm, all else as it is. How wide it is: the meter, the fault's own blur, and a
share of the spread between designs, because the shop's board is none of the sample.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.predict import Predictions

# Kernels. Cold readings: 0.7 of the spread of designs where the fault leaves them
# alone, and where it doesn't a quarter of a natural logarithm, so that 96 draws over
# two decades of a short leave no gap; 20 mV in diode mode. Volts: a quarter of the
# spread, else twin phases blur. Measured on the benchmark; not fitted to cases.
OF_SPREAD_COLD, OF_SPREAD_LIVE = 0.7, 0.25
TOUCHED_LOG, TOUCHED_VOLTS = 0.25, 0.02
BY_LEAK_OHMS, BY_LEAK_LOG = 1.2e6, 0.6  # beyond it leaks decide, and they are vague
OL_BY_LEAK = 0.2  # so often a net that only leaks is over a meter's ranges (judgement)
# A handheld's errors: share of reading and counts (the benchmark's and a usual one).
METER_SHARE, METER_LIVE_SHARE, METER_AMPS_SHARE = 0.012, 0.0015, 0.006
COUNTS = {"D": 0.004, "V": 0.002, "I": 0.002}
NEAR_NOUGHT, NOUGHT_SPREAD = 0.05, 0.015
LEAD_SPREAD = 0.12
LEAST_OHMS = 0.05
ANSWER_MOVES = 0.02  # chance by which an answer must move to tell anything
OHMS = frozenset("RC")
COLD = frozenset("RCD")
MIDDLE = (0.05, 0.95)  # of the boards: what is told as expected

Span = tuple[float | None, float | None]


@dataclass(frozen=True)
class Usual:
    """What good boards of this model read at a point, on the kernels' scale.

    ``weight`` is how far it takes the place of what the family makes likely, 0 to 1.
    """

    centre: float
    width: float
    weight: float


@dataclass(frozen=True)
class Answers:
    """Chances of each answer at a point, (faults, answers, boards)."""

    names: tuple[str, ...]
    chances: Floats

    @cached_property
    def touched(self) -> np.typing.NDArray[np.bool_]:
        """(faults, boards): where a fault changes what is answered."""
        moved = np.abs(self.chances - self.chances[:1]).max(axis=1)
        made: np.typing.NDArray[np.bool_] = moved > ANSWER_MOVES
        return made


@dataclass(frozen=True)
class Kernels:
    """Centres and widths of every kernel on its scale: ohms on their logarithm."""

    predictions: Predictions
    centres: Floats
    widths: Floats
    touched: np.typing.NDArray[np.bool_]
    is_ol: np.typing.NDArray[np.bool_]
    place: Mapping[str, int] = field(repr=False, default_factory=dict)
    answers: Mapping[str, Answers] = field(repr=False, default_factory=dict)
    _spans: dict[tuple[str, int], Span] = field(
        repr=False, default_factory=dict, compare=False
    )

    def span(self, point: str, row: int) -> Span:
        """What most boards with a fault read at a point, SI; ``None`` stands for OL."""
        if (point, row) not in self._spans:
            self._spans[point, row] = self._span(point, row)
        return self._spans[point, row]

    def _span(self, point: str, row: int) -> Span:
        at = self.place[point]
        is_log = self.predictions.modes[at] in OHMS
        centres, widths = self.centres[row, at], self.widths[row, at]
        read = ~np.isnan(centres)
        if read.mean() < MIDDLE[0]:
            return None, None
        low = float(np.quantile((centres - widths)[read], MIDDLE[0]))
        high = float(np.quantile((centres + widths)[read], MIDDLE[1]))
        ends = (np.exp(low), np.exp(high)) if is_log else (_or_nought(low), high)
        is_often_ol = read.mean() < MIDDLE[1]
        return float(ends[0]), None if is_often_ol else float(ends[1])


def _or_nought(low: float) -> float:
    """A kernel about 0 reaches below it; what is told begins there."""
    return 0.0 if -NEAR_NOUGHT < low < 0 else low


def kernels(predictions: Predictions, twins: frozenset[str] = frozenset()) -> Kernels:
    """``twins`` are points that are weighed against each other on every board."""
    centres = np.empty_like(predictions.means)
    widths = np.empty_like(predictions.means)
    for number, mode in enumerate(predictions.modes):
        means, blurs = predictions.means[:, number], predictions.blurs[:, number]
        centres[:, number] = scaled(mode, means)
        is_twin = predictions.points[number] in twins
        spread = 0.0 if is_twin else _spread(centres[0, number])
        widths[:, number] = _widths(mode, means, blurs, spread)
    touched = predictions.touched.copy()
    for number, point in enumerate(predictions.points):
        touched[:, number] |= point in twins
    place = {point: number for number, point in enumerate(predictions.points)}
    is_ol = np.isnan(predictions.means)
    answers = {
        point: Answers(one.names, one.shares)
        for point, one in predictions.answers.items()
    }
    return Kernels(predictions, centres, widths, touched, is_ol, place, answers)


def scaled(mode: str, values: Floats) -> Floats:
    return np.log(np.maximum(values, LEAST_OHMS)) if mode in OHMS else values


def _widths(mode: str, means: Floats, blurs: Floats, spread: float) -> Floats:
    made: Floats
    if mode in OHMS:
        leads = np.log1p(LEAD_SPREAD / np.maximum(means, LEAST_OHMS))
        by_leak = np.where(means > BY_LEAK_OHMS, BY_LEAK_LOG, 0.0)
        meter: Floats = METER_SHARE**2 + leads**2
        made = np.sqrt(meter + TOUCHED_LOG**2 + by_leak**2)
        made[0] = np.sqrt(meter[0] + (OF_SPREAD_COLD * spread) ** 2)
        return made
    if mode == "D":
        meter = COUNTS["D"] ** 2 + np.zeros_like(means)
        made = np.sqrt(meter + TOUCHED_VOLTS**2 + (0.05 * means) ** 2)
        made[0] = np.sqrt(meter[0] + (OF_SPREAD_COLD * spread) ** 2)
        return made
    share = METER_LIVE_SHARE if mode == "V" else METER_AMPS_SHARE
    level = OF_SPREAD_LIVE * METER_SHARE * means
    made = np.sqrt(COUNTS[mode] ** 2 + (share * means) ** 2 + blurs**2 + level**2)
    if mode == "V":
        is_nought = np.abs(means) < NEAR_NOUGHT
        made = np.where(is_nought, np.hypot(made, NOUGHT_SPREAD), made)
        made[0] = np.hypot(made[0], OF_SPREAD_COLD * spread)
    return made


def _spread(good: Floats) -> float:
    known = good[~np.isnan(good)]
    return float(np.std(known)) if len(known) else 0.0
