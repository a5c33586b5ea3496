"""Which readings speak for a suspect and which against it, and which disagree. PURE.

A reading speaks for a fault by the logarithm of how much likelier it is with that
fault than over all faults together, before any reading: by the information that it
gives for it. Two thirds of a bit either way are told.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import log

import numpy as np

from diagnostics.engine.assessment import Disagreement
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.predict import point_of
from diagnostics.engine.kernels import Kernels
from diagnostics.engine.pairs import Posterior
from diagnostics.engine.reasons import Reason, reason
from diagnostics.engine.weigh import Told

TELLING = log(1.6)
MOST_REASONS = 4
# A reading is unexplained where the likeliest faults make it less likely than this
# share of what some other fault makes of it.
UNEXPLAINED = 0.03
LEAST = 1e-12


@dataclass(frozen=True)
class Explainer:
    """Readings of the board as it is, with what was read: SI, ``None`` for OL."""

    kernels: Kernels
    before: Floats
    boards: Floats
    now: Sequence[Told]
    values: Mapping[str, float | str | None]
    units: Mapping[str, str]

    def speaking(self, row: int) -> tuple[tuple[Reason, ...], tuple[Reason, ...]]:
        """The readings for and against a fault, the most telling first."""
        weights = self._weights[:, row].tolist()
        weighed = list(zip(weights, self.now, strict=True))
        weighed.sort(key=lambda one: -abs(one[0]))
        speaks = [t for weight, t in weighed if weight >= TELLING][:MOST_REASONS]
        against = [t for weight, t in weighed if weight <= -TELLING][:MOST_REASONS]
        return (
            tuple(self._told_by("reading_for", told, row) for told in speaks),
            tuple(self._told_by("reading_against", told, row) for told in against),
        )

    @cached_property
    def _by_fault(self) -> Floats:
        """Densities (readings, faults), over the boards still likely."""
        found = [(np.exp(told.logs) * self.boards).sum(axis=1) for told in self.now]
        made: Floats = np.array(found).reshape(len(found), len(self.before))
        return np.maximum(made, LEAST)

    @cached_property
    def _weights(self) -> Floats:
        """Nats that each reading gives for each fault, (readings, faults)."""
        made: Floats = (
            np.log(self._by_fault) - np.log(self._by_fault @ self.before)[:, None]
        )
        return made

    def _told_by(self, code: str, told: Told, row: int) -> Reason:
        point = point_of(told.point)
        value = self.values[point]
        if isinstance(value, str):
            return reason(code, point=point, category=value)
        if told.point not in self.kernels.place:
            return reason(code, point=point, unit=self.units[point], value=value)
        low, high = self.kernels.span(told.point, row)
        usual_low, usual_high = self.kernels.span(told.point, 0)
        return reason(
            code,
            point=point,
            unit=self.units[point],
            value=value,
            ol=int(value is None),
            low=low,
            high=high,
            usual_low=usual_low,
            usual_high=usual_high,
        )

    # --- what disagrees

    def disagreements(
        self, found: Posterior, twice: Sequence[str]
    ) -> list[Disagreement]:
        """Points read twice and differently, and readings left unexplained."""
        made = [
            Disagreement((point,), reason("read_unlike", point=point))
            for point in twice
        ]
        odd = [
            point_of(told.point)
            for told, every in zip(self.now, self._by_fault, strict=True)
            if self._is_odd(told, every, found)
        ]
        odd = [point for point in dict.fromkeys(odd) if point not in twice]
        if odd:
            made.append(Disagreement(tuple(odd), reason("no_single_fault")))
        return made

    def _is_odd(self, told: Told, every: Floats, found: Posterior) -> bool:
        shows = np.asarray(told.touched.any(axis=1))
        likely = float(found.shares @ every)
        for (one, other), share in zip(
            found.pairs.rows, found.of_pairs.tolist(), strict=True
        ):
            row = other if shows[other] and not shows[one] else one
            likely += share * float(every[row])
        explained = 1 - found.something_else
        return likely < UNEXPLAINED * explained * float(every.max())
