"""Bench calculators: the brief's own cases, ambiguity, refusals."""

import pytest

from diagnostics.engine.calculators import (
    Buck,
    CalculatorError,
    Divider,
    buck,
    copper_ohms,
    divider,
    landings,
    marking,
    sense,
)


def test_a_divider_lands_on_the_rail_that_it_was_made_for() -> None:
    found = landings(10e3, 10e3, (1.2, 3.3, 5.0))
    assert [(one.reference_volts, one.rail_volts) for one in found] == [(0.6, 1.2)]


def test_a_divider_that_fits_nothing_lands_nowhere() -> None:
    assert landings(1.0, 1e6, (3.3, 5.0)) == ()


def test_reference_tolerance_widens_the_spread() -> None:
    plain = divider(Divider(10e3, 10e3, 0.6))
    spread = divider(Divider(10e3, 10e3, 0.6, reference_tolerance=0.01))
    assert plain.low == plain.high == plain.volts
    assert spread.low < plain.volts < spread.high


def test_standby_converter_of_the_brief() -> None:
    """19 to 5 V, 4.7 µH, 400 kHz, 10 mohm, 220 µF: 0.263, 1.96 A, 22 mV."""
    found = buck(Buck(19, 5, 400e3, 4.7e-6, 220e-6, esr_ohms=0.010))
    assert found.duty == pytest.approx(0.263, abs=5e-4)
    assert found.ripple_amperes == pytest.approx(1.96, abs=5e-3)
    assert found.ripple_volts == pytest.approx(0.022, abs=5e-4)
    assert found.reasons == ()


def test_much_ripple_is_worth_a_look() -> None:
    found = buck(Buck(19, 5, 400e3, 4.7e-6, 2.2e-6, esr_ohms=0.1))
    assert [one.code for one in found.reasons] == ["ripple_high"]


@pytest.mark.parametrize("text", ["", "R", "ABC", "12", "12345", "97A", "00A", "01Q"])
def test_an_unknown_marking_is_refused(text: str) -> None:
    with pytest.raises(CalculatorError) as refused:
        marking(text)
    assert refused.value.code == "unknown_marking"


@pytest.mark.parametrize("text", ["1٠3", "²²R", "٠1A"])
def test_digits_of_other_scripts_are_no_marking(text: str) -> None:
    with pytest.raises(CalculatorError):
        marking(text)


def test_nought_ohms_are_refused_by_name() -> None:
    with pytest.raises(CalculatorError) as refused:
        divider(Divider(10e3, 0, 0.6))
    assert (refused.value.code, refused.value.values["name"]) == (
        "must_be_positive",
        "bottom_ohms",
    )
    with pytest.raises(CalculatorError):
        sense(0.01, 0)
    with pytest.raises(CalculatorError):
        copper_ohms(1, 0, 1)


def test_a_step_down_converter_steps_down() -> None:
    with pytest.raises(CalculatorError) as refused:
        buck(Buck(5, 12, 500e3, 10e-6, 220e-6))
    assert refused.value.code == "input_below_output"
