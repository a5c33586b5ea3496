"""Readings -> probabilities of faults, over a cloud of virtual boards. PURE.

For a fault h with sample boards k, readings y and points c,

    P(y | h) = mean over k of product over c of f(y_c | h, k),

f being a kernel about what board k reads: Student's t with 10 degrees of freedom, as
wide as the meter, the fault's own blur, and a share of the spread between designs,
because the shop's board is none of the sample. A reading that fault h leaves as it
is on board k tells nothing between such boards: it gets one pooled density, that of
good boards, so that chance survivors don't pretend to know (engine's design,
number 2). Twin phases are the exception: they are read against each other.

A reading is (1 - e) the model and e a missed contact: OL in ohms and diode mode,
about 0 V under power. *Something else* finds any reading of the physical range
equally likely; it wins only when all else fails.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import log

import numpy as np

from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.predict import Predictions

MISSED = 0.02
SOMETHING_ELSE = 0.02
CERTAINTY = 0.99
# Kernels. Cold readings: 0.7 of the spread of designs where the fault leaves them
# alone, and where it doesn't a quarter of a natural logarithm, so that 96 draws over
# two decades of a short leave no gap; 20 mV in diode mode. Volts: a quarter of the
# spread, else twin phases blur. Measured on the benchmark; not fitted to cases.
OF_SPREAD_COLD, OF_SPREAD_LIVE = 0.7, 0.25
TOUCHED_LOG, TOUCHED_VOLTS = 0.25, 0.02
BY_LEAK_OHMS, BY_LEAK_LOG = 1.2e6, 0.6  # beyond it leaks decide, and they are vague
FREE = 10.0
# A handheld's errors: share of reading and counts (the benchmark's and a usual one).
METER_SHARE, METER_LIVE_SHARE, METER_AMPS_SHARE = 0.012, 0.0015, 0.006
COUNTS = {"D": 0.004, "V": 0.002, "I": 0.002}
NEAR_NOUGHT, NOUGHT_SPREAD = 0.05, 0.015
LEAD_SPREAD = 0.12
LEAST_OHMS = 0.05
FEWEST_BOARDS, MIXED = 8.0, 0.15
# What a missed contact shows, and the physical range of each mode (judgement).
MISS_OL, MISS_ELSE = 0.9, 0.02
MISS_VOLTS = 0.01
FLAT = {"R": 1 / 16, "C": 1 / 16, "D": 0.5, "V": 0.06, "I": 0.25}
FLAT_OL = 0.2
LEAST_DENSITY = 1e-12  # where a shop says that contacts are never missed
OHMS = frozenset("RC")
COLD = frozenset("RCD")
OVER_LIMIT = None
"""A reading of OL, where another has its SI value."""


@dataclass(frozen=True)
class Kernels:
    """Centres and widths of every kernel on its scale: ohms on their logarithm."""

    predictions: Predictions
    centres: Floats
    widths: Floats
    touched: np.typing.NDArray[np.bool_]
    is_ol: np.typing.NDArray[np.bool_]
    place: Mapping[str, int] = field(repr=False, default_factory=dict)


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
    return Kernels(predictions, centres, widths, touched, is_ol, place)


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


# --- weighing ---------------------------------------------------------------------


@dataclass
class Weighing:
    """What the readings so far make of the faults; one reading only reweighs."""

    kernels: Kernels
    priors: Floats
    missed: float = MISSED

    def __post_init__(self) -> None:
        shape = self.kernels.predictions.means.shape
        self._logs = np.zeros((shape[0], shape[2]))
        self._pooled = np.zeros(shape[0])
        self._else = log(SOMETHING_ELSE)
        self.read: dict[str, float | None] = {}

    def take(self, point: str, value: float | None) -> None:
        """Weigh one reading, SI; ``None`` is OL."""
        at = self.kernels.place[point]
        mode = self.kernels.predictions.modes[at]
        missed = self.missed * _of_a_miss(mode, value)
        densities = (1 - self.missed) * self._densities(at, mode, value) + missed
        densities = np.maximum(densities, LEAST_DENSITY)
        pooled = float(np.log(densities[0].mean()))
        touched = self.kernels.touched[:, at]
        by_board = touched.any(axis=1)
        logs = np.where(touched, np.log(densities), pooled)
        self._logs[by_board] += logs[by_board]
        self._pooled[~by_board] += pooled
        flat = FLAT_OL if value is None else FLAT[mode]
        self._else += log((1 - self.missed) * flat + missed)
        self.read[point] = value

    def _densities(self, at: int, mode: str, value: float | None) -> Floats:
        is_ol = self.kernels.is_ol[:, at]
        if value is None:
            return np.where(is_ol, 1.0, 1e-4)
        one = scaled(mode, np.asarray(value, dtype=float))
        width = self.kernels.widths[:, at]
        off = (one - self.kernels.centres[:, at]) / width
        tail = (1 + off * off / FREE) ** (-(FREE + 1) / 2)
        return np.where(is_ol, 0.0, 0.39 * tail / width)

    def posterior(self) -> tuple[Floats, float, Floats]:
        """Probabilities by fault, of something else, and of each fault's boards."""
        top = self._logs.max(axis=1, keepdims=True)
        likely = np.exp(self._logs - top)
        boards = likely / likely.sum(axis=1, keepdims=True)
        effective = 1 / (boards**2).sum(axis=1, keepdims=True)
        mixed = MIXED * np.clip((FEWEST_BOARDS - effective) / FEWEST_BOARDS, 0, 1)
        boards = boards * (1 - mixed) + mixed / boards.shape[1]
        scores = np.log(np.maximum(self.priors, 1e-300)) + self._pooled
        scores = scores + np.log(likely.mean(axis=1)) + top[:, 0]
        every = np.append(scores, self._else)
        shares = np.exp(every - every.max())
        shares = CERTAINTY * shares / shares.sum()
        return shares[:-1], float(shares[-1]) + 1 - CERTAINTY, boards


def _of_a_miss(mode: str, value: float | None) -> float:
    if mode in COLD:
        return MISS_OL if value is OVER_LIMIT else MISS_ELSE
    near = np.exp(-0.5 * ((value or 0.0) / MISS_VOLTS) ** 2)
    high, rest = (27.0, 0.01) if mode == "V" else (5.0, 0.05)
    return float(high * near + rest)
