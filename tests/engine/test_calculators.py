"""Bench calculators: the worked examples of the brief (section 7) and refusals."""

from collections.abc import Callable
from math import inf, nan
from typing import Any

import pytest

from diagnostics.engine.calculators.bucks import Buck, buck
from diagnostics.engine.calculators.budgets import Standby, budget
from diagnostics.engine.calculators.copper import Copper, copper
from diagnostics.engine.calculators.diode_checks import DiodeCheck, diode_check
from diagnostics.engine.calculators.discharges import Discharge, discharge
from diagnostics.engine.calculators.dividers import Divider, divider
from diagnostics.engine.calculators.low_ohms import LowOhms, low_ohms
from diagnostics.engine.calculators.markings import Marking, marking
from diagnostics.engine.calculators.mosfet_drops import OnMosfet, on_drop
from diagnostics.engine.calculators.packs import Pack, pack_health
from diagnostics.engine.calculators.phases import Phases, balance
from diagnostics.engine.calculators.sensing import Sense, sense
from diagnostics.engine.calculators.shape import CalculatorError
from diagnostics.engine.calculators.thermal import Warming, thermal_rise
from diagnostics.engine.calculators.usb_c import CcLine, cc_offer


def codes(result: Any) -> list[str]:
    return [one.code for one in result.reasons]


def refused(work: Callable[[Any], Any], given: Any) -> tuple[str, object]:
    with pytest.raises(CalculatorError) as error:
        work(given)
    return error.value.code, error.value.values.get("name")


# --- 1 feedback divider ---------------------------------------------------------


def test_divider_of_the_brief() -> None:
    """0.6 V and 10 k over 10 k: 1.20 V, 2 % with parts and reference of 1 %."""
    found = divider(Divider(10e3, 10e3, 0.6, 0.01, 0.01))
    assert found.volts == pytest.approx(1.20)
    assert found.low is not None
    assert found.high is not None
    assert (found.high - found.low) / 2 / 1.20 == pytest.approx(0.02, abs=5e-4)


def test_the_usual_references_are_all_offered_and_the_one_that_lands_named() -> None:
    found = divider(Divider(10e3, 10e3, rail_volts=(1.2, 3.3, 5.0)))
    assert found.volts == pytest.approx(1.2)
    assert len(found.landings) == 7
    assert codes(found) == ["reference_lands", *["reference_gives"] * 6]


def test_a_divider_that_fits_nothing_lands_nowhere() -> None:
    found = divider(Divider(1.0, 1e6, rail_volts=(3.3, 5.0)))
    assert (found.volts, found.low, found.high) == (None, None, None)
    assert codes(found)[0] == "no_reference_lands"


def test_where_two_references_land_none_is_chosen() -> None:
    found = divider(Divider(10e3, 10e3, rail_volts=(1.2, 2.0)))
    assert found.volts is None
    assert codes(found).count("reference_lands") == 2


def test_resistors_read_in_circuit_are_not_trusted() -> None:
    found = divider(Divider(10e3, 10e3, 0.6, is_read_in_circuit=True))
    assert codes(found) == ["resistors_in_circuit"]


def test_reference_tolerance_widens_the_spread() -> None:
    plain = divider(Divider(10e3, 10e3, 0.6))
    spread = divider(Divider(10e3, 10e3, 0.6, reference_tolerance=0.01))
    assert plain.low == plain.high == plain.volts
    assert spread.low is not None
    assert spread.low < 1.2


# --- 2 markings -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "ohms"),
    [("103", 10e3), ("1002", 10e3), ("4R7", 4.7), ("R010", 0.010), ("01C", 10e3)],
)
def test_markings_of_the_brief(text: str, ohms: float) -> None:
    assert marking(Marking(text)).all == (ohms,)


@pytest.mark.parametrize("text", ["0", "000", "00"])
def test_a_link(text: str) -> None:
    found = marking(Marking(text))
    assert found.all == (0.0,)
    assert codes(found) == ["marking_link"]


def test_an_ambiguous_marking_gives_both() -> None:
    found = marking(Marking(" 22r "))
    assert found.all == (22.0, 1.65)
    assert codes(found) == ["marking_letter", "marking_e96", "marking_ambiguous"]


@pytest.mark.parametrize("text", ["1٠3", "²²R", "٠1A"])
def test_digits_of_other_scripts_are_no_marking(text: str) -> None:
    assert refused(marking, Marking(text))[0] == "unknown_marking"


@pytest.mark.parametrize(
    "text", ["", "R", "ABC", "12", "12345", "97A", "00A", "01Q", "9" * 400, "0" * 400]
)
def test_an_unknown_marking_is_refused(text: str) -> None:
    assert refused(marking, Marking(text)) == ("unknown_marking", "text")


# --- 3 sense resistor -----------------------------------------------------------


def test_sense_resistor_of_the_brief() -> None:
    """18.5 mV on 10 mohm: 1.85 A, 34 mW; 0.1 mV of resolution is 10 mA."""
    found = sense(Sense(0.0185, 0.010))
    assert found.amperes == pytest.approx(1.85)
    assert found.watts == pytest.approx(0.034, abs=5e-4)
    assert found.step_amperes == pytest.approx(0.010)
    assert codes(found) == ["one_digit_is"]


def test_a_drop_of_two_digits_and_one_that_runs_back() -> None:
    assert codes(sense(Sense(0.0002, 0.010)))[1:] == ["drop_too_small"]
    assert codes(sense(Sense(-0.0185, 0.010)))[1:] == ["current_runs_back"]


# --- 4 step-down converter ------------------------------------------------------


def test_standby_converter_of_the_brief() -> None:
    """19 to 5 V, 4.7 µH, 400 kHz, 10 mohm, 220 µF: 0.263, 1.96 A, 22 mV."""
    found = buck(Buck(19, 5, 400e3, 4.7e-6, 220e-6, esr_ohms=0.010))
    assert found.duty == pytest.approx(0.263, abs=5e-4)
    assert found.ripple_amperes == pytest.approx(1.96, abs=5e-3)
    assert found.ripple_volts == pytest.approx(0.022, abs=5e-4)
    assert codes(found) == ["phase_node_mean"]


def test_much_ripple_is_worth_a_look() -> None:
    found = buck(Buck(19, 5, 400e3, 4.7e-6, 2.2e-6, esr_ohms=0.1))
    assert codes(found) == ["phase_node_mean", "ripple_high"]


# --- 5 copper (the hunt itself: test_injection.py) --------------------------------


def test_half_a_milliohm_a_square() -> None:
    """35 µm: 0.5 mohm a square; 2 A over ten squares drop 10 mV."""
    assert copper(Copper(1)).ohms == pytest.approx(0.5e-3, abs=0.01e-3)
    assert 2 * copper(Copper(10)).ohms == pytest.approx(10e-3, abs=0.2e-3)


# --- 6 low ohms -----------------------------------------------------------------


def test_four_wires_of_the_brief() -> None:
    found = low_ohms(LowOhms(amperes=1.000, drop_volts=0.0032))
    assert found.ohms == pytest.approx(0.0032)
    assert (found.is_four_wire, codes(found)) == (True, ["by_four_wires"])


def test_case_a_less_its_leads() -> None:
    """0.4 ohm shown with leads of 0.2 ohm is 0.2 ohm (brief, section 12)."""
    found = low_ohms(LowOhms(shown_ohms=0.4, leads_ohms=0.2))
    assert found.ohms == pytest.approx(0.2)
    assert (found.is_four_wire, codes(found)) == (False, ["less_the_leads"])


@pytest.mark.parametrize(
    ("shown", "spread", "is_valid"),
    [(0.30, 0.05, False), (0.39, 0.05, False), (0.40, 0.05, True), (0.1, 0.05, False)],
)
def test_less_than_two_lead_spreads_is_no_result(
    shown: float, spread: float, is_valid: bool
) -> None:
    found = low_ohms(LowOhms(shown_ohms=shown, leads_ohms=0.3, spread_ohms=spread))
    assert (found.ohms is not None) is is_valid
    assert ("leads_hide_it" in codes(found)) is not is_valid


# --- 7 phase balance ------------------------------------------------------------


def test_phases_of_the_brief() -> None:
    """0.9 mohm; 9.0, 9.4, 2.1 mV: 10.0, 10.4, 2.3 A, 107 %."""
    found = balance(Phases((0.0090, 0.0094, 0.0021), 0.0009, is_steady_load=True))
    assert [round(one, 1) for one in found.amperes] == [10.0, 10.4, 2.3]
    assert round(found.imbalance_percent) == 107
    assert codes(found)[3:] == ["phases_uneven"]


@pytest.mark.parametrize(
    ("low", "code"), [(0.95, "phases_even"), (0.75, "phases_between")]
)
def test_phases_that_share(low: float, code: str) -> None:
    found = balance(Phases((0.01 * low, 0.01), 0.001, is_steady_load=True))
    assert codes(found)[-1] == code


def test_at_idle_phases_are_not_judged() -> None:
    assert codes(balance(Phases((0.0, 0.01), 0.001)))[-1] == "phases_may_be_shed"


# --- 8 standby budget -----------------------------------------------------------


def standby(measured: float | None = None) -> Standby:
    return Standby((3.3, 5.0), (0.030, 0.008), 19.0, 0.002, 0.75, measured)


def test_standby_budget_of_the_brief() -> None:
    """0.223 W, 11.8 mA at 19 V."""
    found = budget(standby())
    assert found.watts == pytest.approx(0.223, abs=5e-4)
    assert found.amperes == pytest.approx(0.0118, abs=5e-5)
    assert codes(found) == []


@pytest.mark.parametrize(
    ("measured", "code"), [(0.014, "within_budget"), (0.036, "over_budget")]
)
def test_over_three_times_the_budget_it_leaks(measured: float, code: str) -> None:
    assert codes(budget(standby(measured))) == [code]


# --- 9 discharge ----------------------------------------------------------------


def test_discharge_of_the_brief() -> None:
    """200 µF, 10 k, 19 to 0.1 V: 10.5 s; 100 ohm: 0.10 s, 0.19 A, 3.6 W, 36 mJ."""
    slow = discharge(Discharge(200e-6, 10e3, 19.0, 0.1))
    fast = discharge(Discharge(200e-6, 100.0, 19.0, 0.1))
    assert slow.seconds == pytest.approx(10.5, abs=0.05)
    assert fast.seconds == pytest.approx(0.10, abs=0.006)
    assert fast.peak_amperes == pytest.approx(0.19)
    assert fast.peak_watts == pytest.approx(3.6, abs=0.05)
    assert fast.joules == pytest.approx(0.036, abs=5e-4)
    assert codes(fast) == ["never_by_tweezers"]


# --- 10 pack health -------------------------------------------------------------


def test_pack_of_the_brief() -> None:
    found = pack_health(Pack(38.4, 50.0, cycles=412))
    assert found.percent == pytest.approx(76.8)
    assert (found.spread_volts, codes(found)) == (
        None,
        ["capacity_watch", "cycles_counted"],
    )


@pytest.mark.parametrize(
    ("full", "code"),
    [(40.0, "capacity_good"), (39.9, "capacity_watch"), (29.9, "capacity_replace")],
)
def test_what_a_capacity_means(full: float, code: str) -> None:
    assert codes(pack_health(Pack(full, 50.0))) == [code]


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ((4.10, 4.06, 4.08), ["cells_alike"]),
        ((4.10, 4.04), ["cells_watch"]),
        ((4.10, 3.99), ["cells_apart"]),
        ((4.10, 2.40), ["cell_too_low", "cells_apart"]),
        ((2.40,), ["cell_too_low"]),
    ],
)
def test_what_the_cells_mean(cells: tuple[float, ...], said: list[str]) -> None:
    assert codes(pack_health(Pack(50, 50, cell_volts=cells)))[1:] == said


# --- 11 thermal rise ------------------------------------------------------------


def test_rise_of_the_brief() -> None:
    """DCR +10 % = +26 K."""
    found = thermal_rise(Warming(cold_ohms=0.0010, warm_ohms=0.0011))
    assert round(found.by_ohms_kelvin or 0) == 26
    assert (found.by_heat_kelvin, codes(found)) == (None, ["rise_by_ohms"])


def test_rise_by_heat_is_only_expected() -> None:
    found = thermal_rise(Warming(watts=0.5, kelvin_per_watt=60))
    assert (found.by_heat_kelvin, found.by_ohms_kelvin) == (30.0, None)
    assert codes(found) == ["rise_is_expected"]


# --- 12 USB-C line --------------------------------------------------------------


def test_the_other_line_should_stay_low() -> None:
    assert codes(cc_offer(CcLine(1.68, 0.05))) == ["cc_3_amperes"]
    assert codes(cc_offer(CcLine(1.68, 1.70))) == ["cc_3_amperes", "cc_other_up"]


# --- 13 drop across a MOSFET that is on -----------------------------------------


def test_drop_of_the_brief() -> None:
    """10 mohm, 2 A = 20 mV."""
    found = on_drop(OnMosfet(2.0, on_ohms=0.010))
    assert found.volts == pytest.approx(0.020)
    assert codes(found) == ["switch_is_on"]


def test_more_than_a_hundred_millivolts_are_watched() -> None:
    found = on_drop(OnMosfet(2.0, on_ohms=0.010, drop_volts=0.250))
    assert (found.volts, found.ohms, found.watts) == pytest.approx((0.25, 0.125, 0.5))
    assert codes(found) == ["switch_drops_much", "drop_expected"]
    assert codes(on_drop(OnMosfet(2.0, drop_volts=0.02))) == ["switch_is_on"]


# --- 14 diode mode against ohms -------------------------------------------------


def test_diode_mode_of_the_brief() -> None:
    """4.2 ohm: 0.004 V."""
    found = diode_check(DiodeCheck(4.2))
    assert found.volts == pytest.approx(0.004, abs=5e-4)
    assert (found.agrees, codes(found)) == (None, ["diode_expected"])


@pytest.mark.parametrize(
    ("ohms", "volts", "agrees"),
    [
        (4.2, 0.004, True),
        (4.2, 0.012, True),
        (4.2, 0.013, False),
        (4.2, 0.450, False),
        (0.2, 0.000, True),
        (0.0, 0.003, True),
        (30.0, 0.009, False),
    ],
)
def test_over_three_times_apart_they_disagree(
    ohms: float, volts: float, agrees: bool
) -> None:
    found = diode_check(DiodeCheck(ohms, volts))
    assert found.agrees is agrees
    assert codes(found) == ["diode_agrees" if agrees else "diode_disagrees"]


def test_from_fifty_ohms_up_there_is_nothing_to_compare() -> None:
    found = diode_check(DiodeCheck(50.0, 0.45))
    assert (found.volts, found.agrees, codes(found)) == (
        None,
        None,
        ["junctions_decide"],
    )


# --- what is refused ------------------------------------------------------------


@pytest.mark.parametrize(
    ("work", "given", "code", "name"),
    [
        (divider, Divider(10e3, 0, 0.6), "must_be_positive", "bottom_ohms"),
        (divider, Divider(10e3, 1e3, 0.0), "must_be_positive", "reference_volts"),
        (divider, Divider(-1, 1e3, 0.6), "must_not_be_negative", "top_ohms"),
        (divider, Divider(1, 1, 1, 0.6), "must_be_at_most", "resistor_tolerance"),
        (divider, Divider(nan, 1e3, 0.6), "not_finite", "top_ohms"),
        (divider, Divider(1, 1, 1, rail_volts=(inf,)), "not_finite", "rail_volts"),
        (divider, Divider(1e300, 1e-300, 0.6), "beyond_reckoning", None),
        (sense, Sense(0.01, 0), "must_be_positive", "ohms"),
        (sense, Sense(0.01, -1), "must_be_positive", "ohms"),
        (sense, Sense(1e200, 1e-200), "beyond_reckoning", None),
        (copper, Copper(1, 0), "must_be_positive", "metres_thick"),
        (copper, Copper(-1), "must_not_be_negative", "squares"),
        (buck, Buck(5, 12, 5e5, 1e-5, 2e-4), "input_below_output", "input_volts"),
        (buck, Buck(5, 5, 5e5, 1e-5, 2e-4), "input_below_output", "input_volts"),
        (buck, Buck(5.2, 5, 5e5, 1e-5, 2e-4, 0, 0.9), "duty_beyond_one", "efficiency"),
        (buck, Buck(12, 5, 5e5, 1e-5, 2e-4, 0, 1.5), "must_be_at_most", "efficiency"),
        (buck, Buck(12, 5, 5e5, 0, 2e-4), "must_be_positive", "henry"),
        (buck, Buck(12, 5, 5e5, 1e-5, 2e-4, -1), "must_not_be_negative", "esr_ohms"),
        (buck, Buck(12, 5, 1e-300, 1e-300, 2e-4), "beyond_reckoning", None),
        (low_ohms, LowOhms(), "is_needed", "shown_ohms"),
        (low_ohms, LowOhms(shown_ohms=1), "is_needed", "leads_ohms"),
        (low_ohms, LowOhms(amperes=1), "is_needed", "drop_volts"),
        (low_ohms, LowOhms(drop_volts=1), "is_needed", "amperes"),
        (low_ohms, LowOhms(1, 0, amperes=1), "two_ways_at_once", "shown_ohms"),
        (low_ohms, LowOhms(-1, 0), "must_not_be_negative", "shown_ohms"),
        (balance, Phases((0.01,), 1e-3), "two_phases_at_least", "drop_volts"),
        (balance, Phases((0.0, 0.0), 1e-3), "no_current_flows", "drop_volts"),
        (balance, Phases((0.01, 0.01), 0), "must_be_positive", "dcr_ohms"),
        (budget, Standby((3.3,), (), 19.0), "not_as_many", "rail_amperes"),
        (budget, Standby((), (), 0.0), "must_be_positive", "supply_volts"),
        (budget, Standby((1,), (-1,), 19), "must_not_be_negative", "rail_amperes"),
        (discharge, Discharge(1e-6, 0, 19), "must_be_positive", "ohms"),
        (discharge, Discharge(1e-6, 1, 1, 2), "end_above_start", "end_volts"),
        (pack_health, Pack(1, 0), "must_be_positive", "design"),
        (pack_health, Pack(-1, 1), "must_not_be_negative", "full"),
        (pack_health, Pack(1, 1, 0, (-1,)), "must_not_be_negative", "cell_volts"),
        (thermal_rise, Warming(), "nothing_to_reckon", "watts"),
        (thermal_rise, Warming(watts=1), "is_needed", "kelvin_per_watt"),
        (thermal_rise, Warming(cold_ohms=1), "is_needed", "warm_ohms"),
        (
            thermal_rise,
            Warming(cold_ohms=1, warm_ohms=1, cold_celsius=-260),
            "colder_than_copper_goes",
            "cold_celsius",
        ),
        (cc_offer, CcLine(), "is_needed", "cc_volts"),
        (cc_offer, CcLine(1, pull_up_ohms=1), "two_ways_at_once", "pull_up_ohms"),
        (cc_offer, CcLine(pull_up_ohms=0), "must_be_positive", "pull_up_ohms"),
        (on_drop, OnMosfet(0, 1), "must_be_positive", "amperes"),
        (on_drop, OnMosfet(1), "is_needed", "on_ohms"),
        (diode_check, DiodeCheck(-1), "must_not_be_negative", "ohms"),
    ],
)
def test_bad_input_is_refused_by_code_and_name(
    work: Callable[[Any], Any], given: Any, code: str, name: str | None
) -> None:
    assert refused(work, given) == (code, name)
