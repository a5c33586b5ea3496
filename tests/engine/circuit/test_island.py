"""Islands read with every fault on them, against a plain solution board by board.

The plain one knows no shortcuts: Kirchhoff's current law at every net with the diode
law in every junction, by Newton on the whole matrix, damped on the net's content (W.
Millar, 1951: convex, least at the one solution), and checked for what is left over
at every net; every range of the meter from the lowest up.
"""

from collections.abc import Sequence

import numpy as np
import pytest

from diagnostics.engine.circuit import island as island_module
from diagnostics.engine.circuit.island import Island, Part, Reading
from diagnostics.engine.circuit.meter import diode_range, ohms_ranges
from diagnostics.engine.circuit.newton import SLOPE, Floats, saturation
from diagnostics.engine.circuit.parts import GROUND

BOARDS = 2
FULL = np.array([0.25, 0.6])
Case = tuple[Part, Part]
Probe = tuple[str, str, str]


# --- the plain solution -----------------------------------------------------------


def plain(case: Case, nets: Sequence[str], probe: Probe, board: int) -> float:
    """Ohms of one board, ``nan`` over the ranges."""
    mode, plus, minus = probe
    ranges = diode_range(BOARDS) if mode == "D" else ohms_ranges(FULL)
    place = {net: number for number, net in enumerate((*nets, GROUND))}
    net = Plain(case, place, board)
    for scale, amps in ranges:
        fed = np.zeros(len(place))
        fed[place[plus]] += amps[board]
        fed[place[minus]] -= amps[board]
        volts = net.settled(fed)
        ohms = (volts[place[plus]] - volts[place[minus]]) / amps[board]
        if ohms <= scale:
            return float(ohms)
    return float("nan")


class Plain:
    """One board: ends of its branches, siemens, saturation currents."""

    def __init__(self, case: Case, place: dict[str, int], board: int) -> None:
        whole = [*case[0], *case[1]]
        self.ends = np.zeros((len(whole), len(place)))
        for number, ((a, b), _value) in enumerate(whole):
            self.ends[number, [place[a], place[b]]] = 1.0, -1.0
        values = np.array([value[board] for _ends, value in whole])
        is_ohmic = np.arange(len(whole)) < len(case[0])
        self.siemens = np.where(is_ohmic, values, 0.0)
        self.currents = np.where(is_ohmic, 0.0, values)

    def settled(self, fed: Floats) -> Floats:
        """Volts of the nets, ground's last."""
        volts, share = np.zeros(len(fed)), 1.0
        for _step in range(100):
            slopes = self.siemens + self.grown(self.ends @ volts) / SLOPE
            matrix = (self.ends.T * slopes @ self.ends)[:-1, :-1]
            step = np.zeros(len(fed))
            step[:-1] = np.linalg.solve(matrix, self.left_over(fed, volts)[:-1])
            if np.abs(step).max() < 1e-9 or share < 1e-9:
                break
            share, before = 1.0, self.content(fed, volts)
            while self.content(fed, volts + share * step) > before and share > 1e-9:
                share /= 2
            volts = volts + share * step
        assert np.abs(self.left_over(fed, volts)[:-1]).max() < 1e-5 * fed.max()
        return volts

    def grown(self, across: Floats) -> Floats:
        made: Floats = self.currents * np.exp(np.minimum(across / SLOPE, 700))
        return made

    def left_over(self, fed: Floats, volts: Floats) -> Floats:
        """Amperes that Kirchhoff's law misses at every net."""
        across = self.ends @ volts
        taken = self.siemens * across + self.grown(across) - self.currents
        missed: Floats = fed - self.ends.T @ taken
        return missed

    def content(self, fed: Floats, volts: Floats) -> float:
        across = self.ends @ volts
        held = self.siemens * across**2 / 2 - self.currents * across
        held += self.grown(across) * SLOPE
        return float(held.sum() - fed @ volts)


# --- random islands ---------------------------------------------------------------


def island_of_chance(seed: int) -> tuple[list[str], list[Case], list[Probe]]:
    """Nets, the good case and others with one change each, and probes."""
    chance = np.random.default_rng(seed)
    nets = [f"n{number}" for number in range(chance.integers(2, 8))]

    def siemens(low: float, high: float) -> Floats:
        made: Floats = 10 ** -chance.uniform(np.log10(low), np.log10(high), BOARDS)
        return made

    def pair() -> tuple[str, str]:
        a, b = chance.choice([*nets, GROUND], 2, replace=False)
        return str(a), str(b)

    ohmic = [((net, GROUND), siemens(3e6, 2e7)) for net in nets]
    ohmic += [
        ((net, GROUND), siemens(3.0, 1e6)) for net in nets if chance.random() < 0.5
    ]
    ohmic += [(pair(), siemens(0.005, 1e5)) for _net in nets[1:]]
    junctions = [
        (pair(), saturation(chance.uniform(0.15, 0.7, BOARDS)))
        for _count in range(chance.integers(0, 2 * len(nets)))
    ]
    cases: list[Case] = [(ohmic, junctions)]
    cases += [
        ([*ohmic, ((net, GROUND), siemens(0.02, 3e4))], junctions) for net in nets
    ]
    cases.append(([*ohmic, (pair(), siemens(0.02, 0.3))], junctions))
    cases += [
        (ohmic[:number] + ohmic[number + 1 :], junctions)
        for number in range(len(nets), len(ohmic))
    ]
    cases += [
        (ohmic, junctions[:number] + junctions[number + 1 :])
        for number in range(len(junctions))
    ]
    probes = [(mode, *pair()) for mode in "RRD"]
    return nets, cases, probes


def read(nets: list[str], cases: list[Case], probes: list[Probe]) -> list[Floats]:
    ohmic, junctions = ([case[part] for case in cases] for part in (0, 1))
    ranges = {"D": diode_range(BOARDS), "R": ohms_ranges(FULL)}
    return Island(nets, ohmic, junctions, BOARDS).read(
        [Reading(plus, minus, ranges[mode]) for mode, plus, minus in probes]
    )


@pytest.mark.parametrize("seed", range(6))
def test_every_fault_reads_as_solved_plainly(seed: int) -> None:
    nets, cases, probes = island_of_chance(seed)
    for probe, found in zip(probes, read(nets, cases, probes), strict=True):
        for case, boards in zip(cases, found, strict=True):
            expected = [plain(case, nets, probe, board) for board in range(BOARDS)]
            assert boards == pytest.approx(expected, rel=5e-4, abs=1e-4, nan_ok=True)


def test_few_matrices_at_a_time_read_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """As many as fit, else one case after the other; to the rounding of sums."""
    whole = read(*island_of_chance(3))
    monkeypatch.setattr(island_module, "AT_ONCE", 1)
    for some, every in zip(read(*island_of_chance(3)), whole, strict=True):
        assert some == pytest.approx(every, rel=1e-9, nan_ok=True)
