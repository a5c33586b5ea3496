"""What an autoranging meter shows on a net of many boards. PURE."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnostics.engine.circuit.newton import (
    TEST_AMPS,
    Floats,
    Net,
    Places,
    Probe,
    lowered,
)

OVER_LIMIT_VOLTS = 2.0
# Full scale in ohms and test current of an autoranging meter (judgement).
RANGES = (
    (600.0, 1e-3),
    (6e3, 1e-4),
    (6e4, 1e-5),
    (6e5, 1e-6),
    (6e6, 1e-7),
    (6e7, 1e-7),
)

Ranges = Sequence[tuple[float, Floats]]
"""Full scale in ohms and test current (boards,), from the lowest range up; a higher
range has no more current and no fewer volts at full scale."""


def ohms_ranges(full_scale_volts: Floats) -> Ranges:
    """Of an autoranging meter; how many volts its ranges reach differs by maker."""
    most = RANGES[0][0] * RANGES[0][1]
    return [(scale, amps * full_scale_volts / most) for scale, amps in RANGES]


def diode_range(boards: int) -> Ranges:
    """Diode mode as the one range that it is: its ohms times 1 mA are its volts."""
    return [(OVER_LIMIT_VOLTS / TEST_AMPS, np.full(boards, TEST_AMPS))]


@dataclass(frozen=True)
class Shown:
    """What a meter shows, and how it came there.

    ``ohms`` (boards,) are ``nan`` over the ranges; ``at`` is the number of the range
    that shows, else of the last; ``path`` (ranges, boards, nets and ground) are the
    volts in each range that was tried, else ``nan``.
    """

    ohms: Floats
    at: Places
    path: Floats

    def of(self, boards: Places) -> "Shown":
        return Shown(self.ohms[boards], self.at[boards], self.path[:, boards])


def measured(
    net: Net,
    probe: Probe,
    ranges: Ranges,
    only: Places | None = None,
    near: Shown | None = None,
) -> Shown:
    """The lowest range that shows, from the bottom up, of some of the boards.

    ``near`` is what boards much like these show: then the search begins at the range
    that showed there, and at its volts. More current never makes fewer volts, so
    what is over one range is over all below. The ranges' currents and ``near`` run
    over the boards in ``only``.
    """
    boards = np.arange(net.boards) if only is None else only
    search = _Search(net, probe, ranges, boards, near)
    begin = np.zeros(len(boards), dtype=np.intp) if near is None else near.at
    for number in range(len(ranges)):
        search.attempt(number, np.isnan(search.ohms) & (begin <= number))
    for number in reversed(range(len(ranges) - 1)):
        is_low = ~np.isnan(search.ohms) & (search.at == number + 1)
        search.attempt(number, is_low & (begin > number))
    return Shown(search.ohms, search.at, search.path)


class _Search:
    def __init__(
        self,
        net: Net,
        probe: Probe,
        ranges: Ranges,
        boards: Places,
        near: Shown | None,
    ) -> None:
        self.net, self.probe, self.ranges = net, probe, ranges
        self.boards, self.near = boards, near
        self.ohms = np.full(len(boards), np.nan)
        self.at = np.full(len(boards), len(ranges) - 1)
        self.path = np.full((len(ranges), len(boards), net.nets + 1), np.nan)

    def attempt(self, number: int, is_tried: NDArray[np.bool_]) -> None:
        """Tries a range on some of the boards, and keeps what it shows."""
        is_known = np.zeros_like(is_tried)
        if self.near is not None:
            is_known = ~np.isnan(self.near.path[number, :, -1])
        scale, amps = self.ranges[number]
        for is_near in (True, False):
            group = np.flatnonzero(is_tried & (is_known == is_near))
            if not len(group):
                continue
            start = self._start(number, group, is_near)
            volts = self.net.volts(
                self.boards[group], self.probe, amps[group], start, is_near
            )
            self.path[number, group] = volts
            ohms = (volts[:, self.probe[0]] - volts[:, self.probe[1]]) / amps[group]
            shows = group[ohms <= scale]
            self.ohms[shows], self.at[shows] = ohms[ohms <= scale], number

    def _start(self, number: int, group: Places, is_near: bool) -> Floats:
        """Volts over the junctions to start at."""
        if is_near and self.near is not None:
            return self.net.across(self.near.path[number, group])
        if number == 0:
            return np.zeros((len(group), len(self.net.anodes)))
        below = self.net.across(self.path[number - 1, group])
        less = self.ranges[number - 1][1][group] / self.ranges[number][1][group]
        return lowered(below, less)
