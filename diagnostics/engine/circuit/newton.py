"""A net of ohms and junctions, solved for many boards at once. PURE.

A meter feeds a current into one net and takes it out of another. Junctions follow
the diode law, so the volts come by Newton's method with the usual limit on a
junction's step (L. W. Nagel, SPICE2, 1975: a step past the knee is taken on the
logarithm of the current).

The ohms are turned round once a board. What most junctions take, if anything, is next
to nothing, or what they take on a board much like it: they sleep. Only the few that
are awake enter Newton's matrix, and the answer is checked at all others
(superposition; Thevenin's theorem as the junctions see it).
"""

from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[Any]
Places = NDArray[np.intp]
THERMAL = 0.02585  # volts at 300 K, k T / q (SI constants)
EMISSION = 1.25  # between a Schottky's 1 and a rectifier's 2 (judgement)
SLOPE = THERMAL * EMISSION
TEST_AMPS = 1e-3  # of diode mode, at which drops are stated
SETTLED_VOLTS = 5e-4  # a step on, the error is a hundredth of it
MOST_STEPS = 60
NOTHING_SHARE = 5e-5
"""Of the test current. Ohms give no gain: what takes less than this share of the
current moves the reading by no larger share."""

Probe = tuple[int, int]
"""The nets by which the current comes in and goes out."""


def saturation(drop: Floats) -> Floats:
    """Saturation current of a junction with this drop at 1 mA."""
    made: Floats = TEST_AMPS * np.exp(-drop / SLOPE)
    return made


def law(across: Floats, currents: Floats) -> Floats:
    """Amperes of junctions with these saturation currents, by the diode law."""
    taken: Floats = currents * np.expm1(np.clip(across / SLOPE, -40, 60))
    return taken


class Net:
    """Ohms and junctions of many boards; index ``n`` (the last) is ground.

    ``conductances`` (boards, nets, nets); saturation ``currents`` (junctions,
    boards), 0 where a junction is missing.
    """

    def __init__(
        self,
        conductances: Floats,
        anodes: Places,
        cathodes: Places,
        currents: Floats,
    ) -> None:
        self.boards, self.nets = conductances.shape[:2]
        self.anodes, self.cathodes = anodes, cathodes
        self.currents = np.ascontiguousarray(currents.T)
        self._reach = np.zeros((self.boards, self.nets + 1, self.nets + 1))
        self._reach[:, :-1, :-1] = np.linalg.inv(conductances)

    def across(self, volts: Floats) -> Floats:
        """Volts over the junctions (boards, junctions), by those of the nets."""
        found: Floats = volts[:, self.anodes] - volts[:, self.cathodes]
        return found

    def volts(
        self,
        boards: Places,
        probe: Probe,
        amps: Floats,
        start: Floats,
        is_near: bool = False,
    ) -> Floats:
        """Of all nets (boards, nets and ground); junctions wake until none is left.

        Those asleep take what they take at the start, where that ``is_near``, or none.
        """
        currents, least = self.currents[boards], NOTHING_SHARE * amps[:, None]
        across, first = start.copy(), law(start, currents)
        asleep = first if is_near else np.zeros_like(first)
        alone = self._response(boards, probe, amps, asleep)
        found, left = alone.copy(), np.arange(len(boards))
        awake = np.abs(first - asleep) > least
        while len(left):
            for count, group in by_size(awake[left].sum(axis=1), len(self.anodes)):
                rows = left[group]
                some = np.argsort(~awake[rows], axis=1, kind="stable")[:, :count]
                awake[rows[:, None], some] = True
                found[rows] = self._woken(
                    boards[rows],
                    some,
                    alone[rows],
                    np.take_along_axis(asleep[rows], some, axis=1),
                    np.take_along_axis(across[rows], some, axis=1),
                )
            new, taking = self.across(found[left]), currents[left]
            off = np.abs(law(new, taking) - asleep[left]) > least[left]
            late = off & ~awake[left]
            step = limited(new, across[left], knees(taking))
            across[left] = np.where(awake[left], new, step)
            awake[left] |= late
            left = left[late.any(axis=1)]
        return found

    def _woken(
        self,
        boards: Places,
        some: Places,
        alone: Floats,
        asleep: Floats,
        start: Floats,
    ) -> Floats:
        """The nets' volts with some junctions awake, a choice (boards, awake)."""
        anodes, cathodes, each = self.anodes[some], self.cathodes[some], boards[:, None]
        by_amp = self._reach[each, anodes] - self._reach[each, cathodes]
        reach = np.take_along_axis(by_amp, anodes[:, None], axis=2)
        reach -= np.take_along_axis(by_amp, cathodes[:, None], axis=2)
        free = np.take_along_axis(alone, anodes, axis=1)
        free -= np.take_along_axis(alone, cathodes, axis=1)
        free += times(reach, asleep)
        more = newton(reach, free, self.currents[each, some], start) - asleep
        found: Floats = alone - np.matmul(more[:, None], by_amp)[:, 0]
        return found

    def _response(
        self, boards: Places, probe: Probe, amps: Floats, taken: Floats
    ) -> Floats:
        """Volts of all nets by what is fed in and what junctions take."""
        count = self._reach.shape[1]
        ends = np.eye(count)[self.anodes] - np.eye(count)[self.cathodes]
        fed = -(taken @ ends)
        fed[:, probe[0]] += amps
        fed[:, probe[1]] -= amps
        return times(self._reach[boards], fed)


def by_size(sizes: Places, most: int) -> Iterator[tuple[int, Places]]:
    """Boards with about as many junctions awake: how many at most, and which."""
    first = 0
    while first < most:
        last = min(2 * first or 1, most)
        group = np.flatnonzero((sizes > first) & (sizes <= last))
        if len(group):
            yield last, group
        first = last


def times(matrices: Floats, vectors: Floats) -> Floats:
    """Each board's matrix times its vector."""
    made: Floats = np.matmul(matrices, vectors[:, :, None])[:, :, 0]
    return made


def put(matrix: Floats, a: int, b: int, siemens: Floats) -> None:
    """A conductance between two nets into (boards, nets and ground, the same)."""
    matrix[:, a, a] += siemens
    matrix[:, b, b] += siemens
    matrix[:, a, b] -= siemens
    matrix[:, b, a] -= siemens


def newton(reach: Floats, free: Floats, currents: Floats, start: Floats) -> Floats:
    """Amperes (boards, junctions) of junctions that see each other.

    ``reach`` (boards, junctions, junctions) are the ohms between them, ``free`` the
    volts over them if they took nothing.
    """
    across, amps = start.copy(), np.zeros_like(start)
    bends = knees(currents)
    left = np.arange(len(start))
    one = np.eye(start.shape[1])
    for _step in range(MOST_STEPS):
        if not len(left):
            break
        ohms, old, saturated = reach[left], across[left], currents[left]
        taken = law(old, saturated)
        slopes = (taken + saturated) / SLOPE
        beside = taken - slopes * old
        right = free[left] - times(ohms, beside)
        new = np.linalg.solve(one + ohms * slopes[:, None, :], right[:, :, None])
        new = new[:, :, 0]
        amps[left] = beside + slopes * new
        new = limited(new, old, bends[left])
        across[left] = new
        left = left[np.abs(new - old).max(axis=1) > SETTLED_VOLTS]
    return amps


def knees(currents: Floats) -> Floats:
    """Volts past which a junction's step is taken on the logarithm."""
    with np.errstate(divide="ignore"):
        found: Floats = SLOPE * np.log(SLOPE / (np.sqrt(2) * currents))
    return found


def limited(new: Floats, old: Floats, bends: Floats) -> Floats:
    """The step from ``old`` to ``new``, shortened past the knee."""
    moved = (new - old) / SLOPE
    is_far = (new > bends) & (np.abs(moved) > 2)
    from_old = old + SLOPE * np.log(np.maximum(1 + moved, 1e-12))
    from_nought = SLOPE * np.log(np.maximum(new / SLOPE, 1e-12))
    from_old = np.where(moved > -1, from_old, bends)
    return np.where(is_far, np.where(old > 0, from_old, from_nought), new)


def lowered(across: Floats, times: Floats) -> Floats:
    """Junctions' volts with so many times less current: by the law, or by Ohm's."""
    less: Floats = np.maximum(
        across / times[:, None], across - SLOPE * np.log(times)[:, None]
    )
    return less
