"""Ohms and junctions against hand values, linear algebra, and closed forms.

Outside truth: Ohm's and Kirchhoff's laws solved by numpy's inverse of the test's own
matrix; Shockley's diode law solved by Lambert's W (scipy) and by bracketing (scipy's
brentq); k and e of the SI from scipy.constants.
"""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants  # type: ignore[import-untyped]
from scipy.optimize import brentq  # type: ignore[import-untyped]
from scipy.special import lambertw  # type: ignore[import-untyped]

from diagnostics.engine.circuit import newton
from diagnostics.engine.circuit.meter import diode_range, measured, ohms_ranges
from diagnostics.engine.circuit.newton import SLOPE, TEST_AMPS, Floats, Net, saturation

Resistor = tuple[int, int, float]
Diode = tuple[int, int, float]
FULL = np.array([0.6])
LOW = np.array([0.25])


def siemens(count: int, resistors: list[Resistor]) -> Floats:
    """The conductance matrix without ground, which is the last number."""
    whole = np.zeros((count + 1, count + 1))
    for a, b, ohms in resistors:
        whole[[a, b], [a, b]] += 1 / ohms
        whole[[a, b], [b, a]] -= 1 / ohms
    return whole[:count, :count]


def net_of(count: int, resistors: list[Resistor], diodes: Sequence[Diode] = ()) -> Net:
    """One board: resistors (end, end, ohms), diodes (anode, cathode, drop)."""
    return Net(
        siemens(count, resistors)[None],
        np.array([a for a, _c, _d in diodes], dtype=np.intp),
        np.array([c for _a, c, _d in diodes], dtype=np.intp),
        saturation(np.array([[drop] for _a, _c, drop in diodes]).reshape(-1, 1)),
    )


def volts(net: Net, plus: int, minus: int, amps: float) -> float:
    start = np.zeros((1, len(net.anodes)))
    nets = net.volts(np.array([0]), (plus, minus), np.array([amps]), start)[0]
    return float(nets[plus] - nets[minus])


def shown_ohms(net: Net, plus: int, minus: int, full_scale_volts: Floats) -> Floats:
    return measured(net, (plus, minus), ohms_ranges(full_scale_volts)).ohms


def shown_diode(net: Net, plus: int, minus: int) -> Floats:
    shown: Floats = measured(net, (plus, minus), diode_range(net.boards)).ohms * 1e-3
    return shown


# --- ohms ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("resistors", "hand"),
    [
        ([(0, 1, 470.0)], 470.0),
        ([(0, 1, 100.0), (0, 1, 100.0)], 50.0),
        ([(0, 1, 20.0), (1, 2, 30.0)], 50.0),
    ],
)
def test_one_resistor_two_beside_and_two_in_a_row(
    resistors: list[Resistor], hand: float
) -> None:
    """Ohm's law by hand."""
    ground = max(b for _a, b, _ohms in resistors)
    found = shown_ohms(net_of(ground, resistors), 0, ground, FULL)
    assert found == pytest.approx([hand])


@pytest.mark.parametrize("rungs", [1, 2, 7])
def test_a_ladder_of_r_and_2r_reads_r(rungs: int) -> None:
    """However long, R-2R closed by 2R reads R: handbooks of converters."""
    ground = rungs + 1
    made: list[Resistor] = [(node, ground, 2e3) for node in range(ground)]
    made += [(a, b, 1e3) for a, b in pairwise(range(ground))]
    made.append((rungs, ground, 2e3))
    assert shown_ohms(net_of(ground, made), 0, ground, FULL) == pytest.approx([1e3])


LADDERS = st.lists(st.floats(0.1, 1e5), min_size=4, max_size=12)


@given(LADDERS)
def test_a_ladder_reads_as_its_own_matrix_turned_round(values: list[float]) -> None:
    """Z = G^-1: Z_ii to ground, Z_aa + Z_bb - 2 Z_ab across."""
    rungs = len(values) // 2
    series, shunt = values[:rungs], values[rungs : 2 * rungs]
    made: list[Resistor] = [(n, rungs, ohms) for n, ohms in enumerate(shunt)]
    made += [(a, b, series[a]) for a, b in pairwise(range(rungs))]
    z = np.linalg.inv(siemens(rungs, made))
    net = net_of(rungs, made)
    last = rungs - 1
    assert volts(net, 0, rungs, 1e-3) / 1e-3 == pytest.approx(z[0, 0], rel=1e-6)
    across = z[0, 0] + z[last, last] - 2 * z[0, last]
    assert volts(net, 0, last, 1e-3) / 1e-3 == pytest.approx(across, rel=1e-6)
    assert volts(net, last, 0, 1e-3) / 1e-3 == pytest.approx(across, rel=1e-6)


def test_nothing_but_leaks_reads_the_leak_and_beyond_sixty_megohms_ol() -> None:
    assert shown_ohms(net_of(1, [(0, 1, 10e6)]), 0, 1, FULL) == pytest.approx([10e6])
    assert np.isnan(shown_ohms(net_of(1, [(0, 1, 61e6)]), 0, 1, FULL)).all()


def test_of_many_boards_each_finds_its_own_range() -> None:
    ohms = np.array([4.7, 590.0, 610.0, 5.9e3, 47e3, 2.2e6, 7e7])
    net = Net(
        (1 / ohms)[:, None, None],
        np.array([], dtype=np.intp),
        np.array([], dtype=np.intp),
        np.zeros((0, len(ohms))),
    )
    found = shown_ohms(net, 0, 1, np.linspace(0.25, 0.6, len(ohms)))
    assert found[:-1] == pytest.approx(ohms[:-1])
    assert np.isnan(found[-1])


# --- junctions -------------------------------------------------------------------


def test_the_thermal_voltage_is_that_of_the_si() -> None:
    expected = constants.k * 300 / constants.e
    assert abs(newton.THERMAL / expected - 1) < 1e-4


@pytest.mark.parametrize("drop", [0.15, 0.33, 0.45, 0.65])
def test_a_junction_alone_reads_its_stated_drop_in_diode_mode(drop: float) -> None:
    """Drops are stated at 1 mA."""
    net = net_of(1, [(0, 1, 1e9)], [(0, 1, drop)])
    assert shown_diode(net, 0, 1) == pytest.approx([drop], abs=5e-4)


@pytest.mark.parametrize(("ten_times", "more"), [(1e-4, -1), (1e-5, -2), (1e-2, 1)])
def test_ten_times_the_current_takes_one_more_slope_per_e(
    ten_times: float, more: int
) -> None:
    """Shockley: n k T / q for each factor of e, 74 mV a decade at n = 1.25."""
    net = net_of(1, [(0, 1, 1e9)], [(0, 1, 0.5)])
    found = volts(net, 0, 1, ten_times) - volts(net, 0, 1, 1e-3)
    assert found == pytest.approx(more * 0.0744, abs=1e-3)


@given(drop=st.floats(0.15, 0.8), ohms=st.floats(1.0, 1e7), log_amps=st.floats(-7, -2))
def test_a_junction_beside_a_resistor_is_lamberts(
    drop: float, ohms: float, log_amps: float
) -> None:
    """I = V / R + Is (exp(V / s) - 1): V = R (I + Is) - s W(R Is / s exp(...))."""
    amps = 10**log_amps
    current = TEST_AMPS * np.exp(-drop / SLOPE)
    whole = ohms * (amps + current)
    w = lambertw_of_log(np.log(ohms * current / SLOPE) + whole / SLOPE)
    expected = whole - SLOPE * w
    net = net_of(1, [(0, 1, ohms)], [(0, 1, drop)])
    assert volts(net, 0, 1, amps) == pytest.approx(expected, abs=2e-4, rel=1e-5)


def lambertw_of_log(log_z: float) -> float:
    """W(exp(x)); past what exp can hold, W + ln W = x by bracketing."""
    if log_z < 500:
        return float(lambertw(np.exp(log_z)).real)
    return float(brentq(lambda w: w + np.log(w) - log_z, 1.0, log_z))


@pytest.mark.parametrize("amps", [1e-3, 1e-4, 1e-6])
def test_a_resistor_in_front_adds_its_volts(amps: float) -> None:
    """V = I R + s ln(1 + I / Is), by hand."""
    net = net_of(2, [(0, 1, 270.0), (1, 2, 1e9)], [(1, 2, 0.45)])
    current = TEST_AMPS * np.exp(-0.45 / SLOPE)
    expected = amps * 270.0 + SLOPE * np.log1p(amps / current)
    assert volts(net, 0, 2, amps) == pytest.approx(expected, abs=3e-4)


@pytest.mark.parametrize("amps", [1e-3, -1e-3, 1e-5, -1e-6])
def test_two_junctions_back_to_back_in_parallel(amps: float) -> None:
    """The diode law of both and a resistor, solved by bracketing."""
    forth, back = (TEST_AMPS * np.exp(-drop / SLOPE) for drop in (0.40, 0.55))

    def left_over(v: float) -> float:
        there = forth * np.expm1(v / SLOPE) - back * np.expm1(-v / SLOPE)
        return float(there + v / 1e5 - amps)

    net = net_of(1, [(0, 1, 1e5)], [(0, 1, 0.40), (1, 0, 0.55)])
    expected = brentq(left_over, -1.5, 1.5, xtol=1e-9)
    assert volts(net, 0, 1, amps) == pytest.approx(expected, abs=2e-4)


def test_two_junctions_in_a_row_share_the_current() -> None:
    net = net_of(2, [(0, 2, 1e9), (1, 2, 1e9)], [(0, 1, 0.45), (1, 2, 0.50)])
    assert shown_diode(net, 0, 2) == pytest.approx([0.95], abs=1e-3)


def test_a_junction_the_wrong_way_round_is_open() -> None:
    """But for its saturation current, which takes its share of 0.1 uA."""
    net = net_of(1, [(0, 1, 20e6)], [(0, 1, 0.45)])
    assert np.isnan(shown_diode(net, 1, 0)).all()
    lost = TEST_AMPS * np.exp(-0.45 / SLOPE) / 1e-7
    assert shown_ohms(net, 1, 0, FULL) == pytest.approx([20e6 * (1 - lost)], rel=1e-6)


# --- the two modes of a meter --------------------------------------------------------


@pytest.mark.parametrize(("ohms", "shown"), [(100.0, 0.1), (4.2, 0.0042), (50.0, 0.05)])
def test_diode_mode_of_a_load_reads_a_milliampere_times_ohms(
    ohms: float, shown: float
) -> None:
    """Common practice; domain brief 7.14: 4.2 ohm reads 0.004 V."""
    assert shown_diode(net_of(1, [(0, 1, ohms)]), 0, 1) == pytest.approx([shown])


def test_diode_mode_is_ol_above_two_volts() -> None:
    assert shown_diode(net_of(1, [(0, 1, 1990.0)]), 0, 1) == pytest.approx([1.99])
    assert np.isnan(shown_diode(net_of(1, [(0, 1, 2010.0)]), 0, 1)).all()


@pytest.mark.parametrize(("full", "place"), [(FULL, 0), (LOW, 3)])
def test_a_junction_reads_ohms_by_the_range_that_is_reached(
    full: Floats, place: int
) -> None:
    """Going up the ranges of a meter, each with a tenth of the current: the first
    that shows no more than its full scale. The diode law by bracketing."""
    current = TEST_AMPS * np.exp(-0.50 / SLOPE)
    most = [600, 6e3, 6e4, 6e5]
    shown = []
    for number in range(4):
        amps = full[0] / 600 / 10**number

        def left_over(v: float, amps: float = amps) -> float:
            return float(v / 1e6 + current * np.expm1(v / SLOPE) - amps)

        shown.append(brentq(left_over, 0, 1, xtol=1e-12) / amps)
    fitting = [ohms <= top for ohms, top in zip(shown, most, strict=True)]
    assert fitting.index(True) == place
    net = net_of(1, [(0, 1, 1e6)], [(0, 1, 0.50)])
    assert shown_ohms(net, 0, 1, full) == pytest.approx([shown[place]], rel=1e-3)


def test_a_net_that_does_not_settle_ends_all_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    net = net_of(1, [(0, 1, 1e6)], [(0, 1, 0.5)])
    settled = volts(net, 0, 1, 1e-3)
    monkeypatch.setattr(newton, "MOST_STEPS", 1)
    stopped = volts(net, 0, 1, 1e-3)
    assert np.isfinite(stopped)
    assert abs(stopped - settled) > 0.01
