"""An island of nets, read by many probes with every fault on it. PURE.

The good board is solved for each probe. A fault whose changed elements would carry
nothing at the good board's volts leaves Kirchhoff's law as it was, so its board reads
as the good one; only the others are solved, from the good board's volts on.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from diagnostics.engine.circuit.meter import Ranges, Shown, measured
from diagnostics.engine.circuit.newton import (
    NOTHING_SHARE,
    Floats,
    Net,
    Places,
    Probe,
    law,
    put,
)
from diagnostics.engine.circuit.parts import GROUND

Ends = tuple[str, str]
Part = Sequence[tuple[Ends, Floats]]
AT_ONCE = 1_000_000  # entries of the matrices held at a time: 8 MB


class Reading(NamedTuple):
    """A probe's nets, and the ranges that its meter goes through."""

    plus: str
    minus: str
    ranges: Ranges


class Table:
    """What lies between the nets: values (cases, elements, boards), the good case
    first; ``changes`` are what the others differ from it, at ``rows`` and ``changed``.
    """

    def __init__(
        self, cases: Sequence[Part], places: Mapping[str, int], boards: int
    ) -> None:
        kept = [
            [(ends, value) for ends, value in case if _is_inside(ends, places)]
            for case in cases
        ]
        number = {
            ends: place
            for place, ends in enumerate(dict.fromkeys(e for c in kept for e, _v in c))
        }
        self.values = np.zeros((len(cases), len(number), boards))
        for row, case in enumerate(kept):
            for ends, value in case:
                self.values[row, number[ends]] += value
        self.a = np.array([places[a] for a, _b in number], dtype=np.intp)
        self.b = np.array([places[b] for _a, b in number], dtype=np.intp)
        differs = (self.values != self.values[:1]).any(axis=2)
        self.rows, self.changed = np.nonzero(differs)
        self.changes = self.values[self.rows, self.changed]
        self.changes -= self.values[0, self.changed]

    def across(self, volts: Floats) -> Floats:
        """Volts over the changed elements (changes, boards), by those of the nets."""
        found: Floats = volts[:, self.a[self.changed]] - volts[:, self.b[self.changed]]
        return found.T


def _is_inside(ends: Ends, places: Mapping[str, int]) -> bool:
    return ends[0] in places and ends[1] in places and ends[0] != ends[1]


class Island:
    """The nets of an island; ``ohmic`` in siemens and ``junctions`` in saturation
    currents are given case by case, the good board first, for so many ``boards``.
    """

    def __init__(
        self,
        nets: Sequence[str],
        ohmic: Sequence[Part],
        junctions: Sequence[Part],
        boards: int,
    ) -> None:
        self.places = {net: place for place, net in enumerate((*nets, GROUND))}
        self.ohmic = Table(ohmic, self.places, boards)
        self.junctions = Table(junctions, self.places, boards)
        self.cases, self.boards = len(ohmic), boards

    def read(self, readings: Sequence[Reading]) -> list[Floats]:
        """Ohms (cases, boards) of each reading; ``nan`` over the ranges."""
        good = self._net([0])
        steady = [measured(good, self._probe(one), one.ranges) for one in readings]
        touched = [
            self._touched(one, shown)
            for one, shown in zip(readings, steady, strict=True)
        ]
        found = [np.tile(shown.ohms, (self.cases, 1)) for shown in steady]
        for cases in self._chunks(np.any(touched, axis=(0, 2))):
            net = self._net(cases)
            for place, one in enumerate(readings):
                rows, boards = np.nonzero(touched[place][cases])
                ranges = [(scale, amps[boards]) for scale, amps in one.ranges]
                only, near = rows * self.boards + boards, steady[place].of(boards)
                shown = measured(net, self._probe(one), ranges, only, near)
                found[place][cases[rows], boards] = shown.ohms
        return found

    def _probe(self, one: Reading) -> Probe:
        return self.places[one.plus], self.places[one.minus]

    def _chunks(self, is_wanted: NDArray[np.bool_]) -> Iterator[Places]:
        """The cases wanted, so many at a time as matrices may be held."""
        wanted = np.flatnonzero(is_wanted)
        most = max(1, AT_ONCE // (self.boards * len(self.places) ** 2))
        for first in range(0, len(wanted), most):
            yield wanted[first : first + most]

    def _touched(self, one: Reading, good: Shown) -> NDArray[np.bool_]:
        """Cases and boards whose changes carry current at the good board's volts."""
        found = np.zeros((self.cases, self.boards), dtype=bool)
        ohmic, junctions = self.ohmic, self.junctions
        for (_scale, amps), volts in zip(one.ranges, good.path, strict=True):
            least = NOTHING_SHARE * amps
            for table, carried in (
                (ohmic, ohmic.changes * ohmic.across(volts)),
                (junctions, law(junctions.across(volts), junctions.changes)),
            ):
                np.logical_or.at(found, table.rows, np.abs(carried) > least)
        return found

    def _net(self, cases: Sequence[int] | Places) -> Net:
        """The boards of these cases, one case after the other."""
        count, boards = len(self.places) - 1, len(cases) * self.boards
        matrix = np.zeros((boards, count + 1, count + 1))
        ohmic, junctions = self.ohmic, self.junctions
        for number, (a, b) in enumerate(zip(ohmic.a, ohmic.b, strict=True)):
            put(matrix, a, b, ohmic.values[cases, number].reshape(boards))
        currents = junctions.values[cases].swapaxes(0, 1)
        currents = currents.reshape(len(junctions.a), boards)
        return Net(matrix[:, :count, :count], junctions.a, junctions.b, currents)
