"""A net of ohms and junctions, solved for many boards at once. PURE.

A meter feeds a current into one net and takes it out of another. Junctions follow
the diode law, so the volts come by Newton's method with the usual limit on a
junction's step (L. W. Nagel, SPICE2, 1975: a step past the knee is taken on the
logarithm of the current). Arrays run over boards first: conductances
(boards, nets, nets), saturation currents (junctions, boards).
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[Any]
THERMAL = 0.02585  # volts at 300 K, k T / q (SI constants)
EMISSION = 1.25  # between a Schottky's 1 and a rectifier's 2 (judgement)
SLOPE = THERMAL * EMISSION
TEST_AMPS = 1e-3  # of diode mode, at which drops are stated
OVER_LIMIT_VOLTS = 2.0
SETTLED_VOLTS = 1e-4
MOST_STEPS = 60
# Full scale in ohms and test current of an autoranging meter (judgement).
RANGES = (
    (600.0, 1e-3),
    (6e3, 1e-4),
    (6e4, 1e-5),
    (6e5, 1e-6),
    (6e6, 1e-7),
    (6e7, 1e-7),
)


def saturation(drop: Floats) -> Floats:
    """Saturation current of a junction with this drop at 1 mA."""
    made: Floats = TEST_AMPS * np.exp(-drop / SLOPE)
    return made


class Net:
    """Ohms and junctions of many boards; index ``n`` (the last) is ground."""

    def __init__(
        self,
        conductances: Floats,
        anodes: NDArray[np.intp],
        cathodes: NDArray[np.intp],
        currents: Floats,
    ) -> None:
        self.conductances = conductances
        self.anodes, self.cathodes = anodes, cathodes
        self.currents = currents
        self.knees = SLOPE * np.log(SLOPE / (np.sqrt(2) * np.maximum(currents, 1e-30)))

    def volts(self, plus: int, minus: int, amps: Floats, only: Any) -> Floats:
        """Volts between two nets with a current fed in, of some of the boards."""
        boards = np.arange(len(self.conductances))[only]
        count = self.conductances.shape[1]
        fed = np.zeros((len(boards), count + 1))
        fed[:, plus] += amps
        fed[:, minus] -= amps
        found = np.zeros(len(boards))
        across = np.zeros((len(self.anodes), len(boards)))
        left = np.arange(len(boards))
        for _step in range(MOST_STEPS):
            if not len(left):
                break
            nets = self._step(boards[left], fed[left], across[:, left])
            found[left] = nets[:, plus] - nets[:, minus]
            new = (nets[:, self.anodes] - nets[:, self.cathodes]).T
            new = self._limited(new, across[:, left], self.knees[:, boards[left]])
            moved = np.abs(new - across[:, left]).max(axis=0, initial=0.0)
            across[:, left] = new
            left = left[moved > SETTLED_VOLTS]
        return found

    def _step(self, boards: Any, fed: Floats, across: Floats) -> Floats:
        """One Newton step: each junction as a conductance and a current beside it."""
        currents = self.currents[:, boards]
        grown = currents * np.exp(np.clip(across / SLOPE, -40, 60))
        slopes = grown / SLOPE
        beside = grown - currents - slopes * across
        count = self.conductances.shape[1]
        matrix = np.zeros((len(boards), count + 1, count + 1))
        matrix[:, :count, :count] = self.conductances[boards]
        right = fed.copy()
        for one, (a, b) in enumerate(zip(self.anodes, self.cathodes, strict=True)):
            slope = slopes[one]
            matrix[:, a, a] += slope
            matrix[:, b, b] += slope
            matrix[:, a, b] -= slope
            matrix[:, b, a] -= slope
            right[:, a] -= beside[one]
            right[:, b] += beside[one]
        nets = np.zeros((len(boards), count + 1))
        nets[:, :count] = np.linalg.solve(
            matrix[:, :count, :count], right[:, :count, None]
        )[:, :, 0]
        return nets

    def _limited(self, new: Floats, old: Floats, knees: Floats) -> Floats:
        moved = (new - old) / SLOPE
        is_far = (new > knees) & (np.abs(moved) > 2)
        from_old = old + SLOPE * np.log(np.maximum(1 + moved, 1e-12))
        from_nought = SLOPE * np.log(np.maximum(new / SLOPE, 1e-12))
        from_old = np.where(moved > -1, from_old, knees)
        return np.where(is_far, np.where(old > 0, from_old, from_nought), new)

    def ohms(self, plus: int, minus: int, full_scale_volts: Floats) -> Floats:
        """What an autoranging meter shows in ohms; ``nan`` over its ranges.

        ``full_scale_volts`` is what the meter's ranges reach: makers differ.
        """
        shown = np.full(len(self.conductances), np.nan)
        for scale, amps in RANGES:
            left = np.flatnonzero(np.isnan(shown))
            if not len(left):
                break
            fed = amps * full_scale_volts[left] / (RANGES[0][0] * RANGES[0][1])
            ohms = self.volts(plus, minus, fed, left) / fed
            shown[left[ohms <= scale]] = ohms[ohms <= scale]
        return shown

    def diode(self, plus: int, minus: int) -> Floats:
        """Volts in diode mode; ``nan`` over the limit."""
        every = np.arange(len(self.conductances))
        volts = self.volts(plus, minus, np.full(len(every), TEST_AMPS), every)
        return np.where(volts > OVER_LIMIT_VOLTS, np.nan, volts)
