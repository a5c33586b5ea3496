"""The other bench calculators, each against a library or a published table.

USB Type-C tables 4-24, 4-25, 4-36 as quoted (check-values 5.49 to 5.51: bands, Ra,
Rd, 10 kohm READ2, the rest MEMORY); IEC 60028 (5.30 to 5.32); Smart Battery Data
Specification 1.1 (field numbers from MEMORY). Libraries: pint for dimensions,
scipy for the differential equation, numpy for the network, uncertainties for
linear propagation.
"""

from functools import cache
from math import exp

import numpy as np
import pint
import pytest
from scipy.integrate import quad, solve_ivp  # type: ignore[import-untyped]
from uncertainties import ufloat

from diagnostics.engine.calculators.budgets import Standby, budget
from diagnostics.engine.calculators.copper import Copper, copper
from diagnostics.engine.calculators.diode_checks import DiodeCheck, diode_check
from diagnostics.engine.calculators.discharges import Discharge, discharge
from diagnostics.engine.calculators.dividers import Divider, divider
from diagnostics.engine.calculators.injection import Injection, inject
from diagnostics.engine.calculators.low_ohms import LowOhms, low_ohms
from diagnostics.engine.calculators.mosfet_drops import OnMosfet, on_drop
from diagnostics.engine.calculators.packs import Pack, pack_health
from diagnostics.engine.calculators.phases import Phases, balance
from diagnostics.engine.calculators.sensing import Sense, sense
from diagnostics.engine.calculators.thermal import Warming, thermal_rise
from diagnostics.engine.calculators.usb_c import CcLine, cc_offer


@cache
def units() -> "pint.UnitRegistry[float]":
    return pint.UnitRegistry()


def si(expression: str, unit: str) -> float:
    """An expression with units, reckoned by pint."""
    return float(units()(expression).to(unit).magnitude)


# --- by dimensions (pint) -------------------------------------------------------


def test_sense_resistor() -> None:
    """5.29  2.5 A through 10 mohm: 25 mV, 62.5 mW."""
    found = sense(Sense(0.025, 0.010))
    assert found.amperes == pytest.approx(si("25 mV / (10 mohm)", "A"))
    assert found.watts == pytest.approx(si("(25 mV)**2 / (10 mohm)", "W"))
    assert (found.amperes, found.watts) == pytest.approx((2.5, 0.0625))


def test_four_wires() -> None:
    found = low_ohms(LowOhms(amperes=1.0, drop_volts=0.0032))
    assert found.ohms == pytest.approx(si("3.2 mV / (1 A)", "ohm"))


def test_standby_budget() -> None:
    out = "(3.3 V * 30 mA + 5 V * 8 mA) / 0.75 + 2 mA * 19 V"
    found = budget(Standby((3.3, 5.0), (0.030, 0.008), 19.0, 0.002, 0.75))
    assert found.watts == pytest.approx(si(out, "W"))
    assert found.amperes == pytest.approx(si(f"({out}) / (19 V)", "A"))


def test_drop_of_a_mosfet_that_is_on() -> None:
    found = on_drop(OnMosfet(2.0, on_ohms=0.010))
    assert found.volts == pytest.approx(si("2 A * 10 mohm", "V"))
    assert found.watts == pytest.approx(si("(2 A)**2 * 10 mohm", "W"))


def test_diode_mode_feeds_a_milliampere() -> None:
    found = diode_check(DiodeCheck(4.2))
    assert found.volts == pytest.approx(si("1 mA * 4.2 ohm", "V"))


def test_phases_against_numpy() -> None:
    drops = (0.0090, 0.0094, 0.0021)
    amperes = np.array(drops) / 0.9e-3
    found = balance(Phases(drops, 0.9e-3, is_steady_load=True))
    assert found.amperes == pytest.approx(tuple(amperes))
    assert found.imbalance_percent == pytest.approx(
        100 * np.ptp(amperes) / np.mean(amperes)
    )


def test_pack_fields_by_the_smart_battery_specification() -> None:
    """FullChargeCapacity 3840 and DesignCapacity 5000, in 10 mWh: 76.8 %."""
    full, design = (si(f"{count} * 10 mWh", "W*hour") for count in (3840, 5000))
    assert pack_health(Pack(full, design)).percent == pytest.approx(76.8)


# --- the divider's spread (uncertainties) ---------------------------------------


@pytest.mark.parametrize(
    ("top", "bottom", "reference"), [(15.4e3, 1e3, 1.23), (10e3, 10e3, 0.6)]
)
def test_corners_are_linear_propagation_to_first_order(
    top: float, bottom: float, reference: float
) -> None:
    """Worst case = the sum of |dV/dx| dx; the brief's (1 - Vref/V)(t1 + t2) + tref."""
    parts = [ufloat(top, 0.01 * top), ufloat(bottom, 0.01 * bottom)]
    parts.append(ufloat(reference, 0.01 * reference))
    volts = parts[2] * (1 + parts[0] / parts[1])
    worst = sum(abs(volts.derivatives[one]) * one.std_dev for one in parts)
    found = divider(Divider(top, bottom, reference, 0.01, 0.01))
    assert found.low is not None
    assert found.high is not None
    assert (found.high - found.low) / 2 == pytest.approx(worst, rel=1e-3)
    brief = (1 - reference / volts.nominal_value) * 0.02 + 0.01
    assert worst / volts.nominal_value == pytest.approx(brief, rel=1e-12)


def test_standard_uncertainty_of_the_data_sheet_divider() -> None:
    """5.17  +-1 % as rectangles: 0.15466 V, well inside our corners."""
    share = 0.01 / 3**0.5
    top, bottom = ufloat(15.4e3, share * 15.4e3), ufloat(1e3, share * 1e3)
    volts = 1.23 * (1 + top / bottom)
    assert volts.std_dev == pytest.approx(0.15466, abs=5e-6)
    found = divider(Divider(15.4e3, 1e3, 1.23, resistor_tolerance=0.01))
    assert found.low is not None
    assert volts.nominal_value - found.low > volts.std_dev


# --- discharge (scipy) ----------------------------------------------------------


@pytest.mark.parametrize("ohms", [100.0, 10e3])
def test_discharge_solves_the_differential_equation(ohms: float) -> None:
    farad, start, end = 200e-6, 19.0, 0.1
    found = discharge(Discharge(farad, ohms, start, end))

    def reached(
        _t: float, volts: "np.ndarray[tuple[int], np.dtype[np.float64]]"
    ) -> float:
        return float(volts[0] - end)

    reached.terminal = True  # type: ignore[attr-defined]
    solved = solve_ivp(
        lambda _t, volts: -volts / (ohms * farad),
        (0, 20 * ohms * farad),
        [start],
        events=reached,
        rtol=1e-10,
        atol=1e-12,
    )
    assert found.seconds == pytest.approx(solved.t_events[0][0], rel=1e-6)


def test_the_resistor_takes_all_the_energy() -> None:
    found = discharge(Discharge(200e-6, 100, 19))
    heat, _error = quad(lambda t: (19 * exp(-t / 0.02)) ** 2 / 100, 0, 1)
    assert found.joules == pytest.approx(heat, rel=1e-9)


# --- copper (IEC 60028) ---------------------------------------------------------


@pytest.mark.parametrize(("cold", "warm"), [(20.0, 100.0), (25.0, 100.0), (40.0, 90.0)])
def test_rise_by_ohms_turns_the_copper_formula_round(cold: float, warm: float) -> None:
    first, second = (
        copper(Copper(1, celsius=celsius)).ohms for celsius in (cold, warm)
    )
    given = Warming(cold_ohms=first, warm_ohms=second, cold_celsius=cold)
    assert thermal_rise(given).by_ohms_kelvin == pytest.approx(warm - cold)


def test_rise_between_the_printed_sheet_resistances() -> None:
    """5.31, 5.32  0.492611 to 0.647488 mohm a square are 80 K."""
    found = thermal_rise(
        Warming(cold_ohms=0.492611e-3, warm_ohms=0.647488e-3, cold_celsius=20.0)
    )
    assert found.by_ohms_kelvin == pytest.approx(80.0, abs=2e-3)


# --- USB-C (Type-C specification) -----------------------------------------------


@pytest.mark.parametrize(
    ("volts", "code", "is_inside"),
    [
        (0.19, "cc_nothing", True),
        (0.25, "cc_default", True),
        (0.61, "cc_default", True),
        (0.65, "cc_default", False),
        (0.67, "cc_1_5_amperes", False),
        (0.70, "cc_1_5_amperes", True),
        (1.16, "cc_1_5_amperes", True),
        (1.22, "cc_1_5_amperes", False),
        (1.24, "cc_3_amperes", False),
        (1.31, "cc_3_amperes", True),
        (2.04, "cc_3_amperes", True),
        (2.05, "cc_too_high", True),
    ],
)
def test_bands_and_thresholds_of_a_sink(
    volts: float, code: str, is_inside: bool
) -> None:
    """5.49  bands 0.25-0.61, 0.70-1.16, 1.31-2.04; thresholds 0.66 and 1.23 V."""
    found = cc_offer(CcLine(cc_volts=volts))
    assert found.code == code
    assert ("cc_off_band" in {one.code for one in found.reasons}) is not is_inside


@pytest.mark.parametrize(
    ("pull_up", "amperes"), [(56e3, 0.5), (22e3, 1.5), (10e3, 3.0)]
)
def test_every_pull_up_of_the_specification_lies_inside_its_band(
    pull_up: float, amperes: float
) -> None:
    """5.51  56, 22, 10 kohm to 5 V (10 kohm READ2, the rest MEMORY)."""
    found = cc_offer(CcLine(pull_up_ohms=pull_up))
    assert found.amperes == amperes
    assert len(found.reasons) == 1
    assert found.volts == pytest.approx(
        si(f"5 V * 5.1 kohm / ({pull_up} ohm + 5.1 kohm)", "V")
    )


def test_current_source_and_pull_up_agree() -> None:
    """5.50  330 µA through 5.1 kohm 1.683 V; 10 kohm to 5 V 1.689 V: both 3 A."""
    by_pull_up = cc_offer(CcLine(pull_up_ohms=10e3))
    assert by_pull_up.volts == pytest.approx(1.689, abs=5e-4)
    volts = si("330 uA * 5.1 kohm", "V")
    assert volts == pytest.approx(1.683)
    assert cc_offer(CcLine(cc_volts=volts)).code == by_pull_up.code == "cc_3_amperes"


# --- the short hunt (a network solved by numpy) ---------------------------------


def ladder(
    short_at: int, nodes: int = 6, amperes: float = 2.0
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Rail and ground of ``nodes`` places, shorted at one; current in at place 0.

    Nodal analysis: copper of 10 squares between places on both sides, 0.2 ohm at
    the short, the supply's minus at ground's place 0, which is the reference.
    Returns what is read along the rail to that ground, and on the ground side with
    red at the feed.
    """
    step = 1 / copper(Copper(10)).ohms
    count = 2 * nodes
    matrix, current = np.zeros((count, count)), np.zeros(count)

    def join(a: int, b: int, siemens: float) -> None:
        for one, other in ((a, b), (b, a)):
            matrix[one, one] += siemens
            matrix[one, other] -= siemens

    for place in range(nodes - 1):
        join(place, place + 1, step)
        join(nodes + place, nodes + place + 1, step)
    join(short_at, nodes + short_at, 1 / 0.2)
    matrix[nodes, nodes] += 1e9  # the reference
    current[0] = amperes
    current[nodes] = -amperes
    volts = np.linalg.solve(matrix, current)
    rail = tuple(float(v) for v in volts[:nodes] - volts[nodes])
    ground = tuple(float(v) for v in volts[0] - volts[nodes:])
    return rail, ground


@pytest.mark.parametrize("short_at", [1, 2, 3, 4, 5])
def test_the_lowest_points_lie_at_the_short_of_a_solved_network(short_at: int) -> None:
    """Behind the short the copper is flat, so only what lies before it is walked."""
    rail, ground = (side[: short_at + 1] for side in ladder(short_at))
    found = inject(
        Injection(
            nominal_volts=19.0,
            set_volts=1.0,
            set_amperes=2.0,
            ohms=0.21,
            last_amperes=1.5,
            is_pack_out=True,
            is_adapter_out=True,
            are_modules_out=True,
            points=rail,
            ground_points=ground,
        )
    )
    assert found.lowest is not None
    assert found.ground is not None
    assert found.lowest.number == found.ground.number == short_at + 1
    assert found.lowest.gradient_volts == pytest.approx(
        2.0 * copper(Copper(10 * short_at)).ohms
    )


@pytest.mark.parametrize("short_at", [1, 3])
def test_behind_the_short_nothing_falls_any_more(short_at: int) -> None:
    rail, _ground = ladder(short_at)
    assert rail[short_at:] == pytest.approx([rail[short_at]] * len(rail[short_at:]))
