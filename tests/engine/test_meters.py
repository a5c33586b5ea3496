"""A meter's accuracy, and what it leaves in doubt."""

import random

import pytest

from diagnostics.engine.errors import MeterError
from diagnostics.engine.meters import (
    FOUR_WIRE,
    HANDHELD,
    MeterRange,
    MeterSpec,
    range_for,
    standard_uncertainty,
)


def meter(*ranges: MeterRange) -> MeterSpec:
    return MeterSpec("bench", ranges)


@pytest.mark.parametrize(
    ("mode", "value", "full_scale"),
    [
        ("V", 0.41, 0.6),
        ("V", -0.41, 0.6),
        ("V", 0.6, 0.6),
        ("V", 5.0, 6.0),
        ("V", 19.0, 60.0),
        ("R", 0.2, 600.0),
        ("R", 48e3, 60e3),
        ("R", 20e6, 60e6),
        ("C", 0.4, 600.0),
        ("D", 0.45, 3.0),
        ("I", 0.014, 0.06),
        ("I", 5.0, 6.0),
        ("F", 400e3, 600e3),
        ("T", 18.0, 1000.0),
    ],
)
def test_the_lowest_range_that_shows_the_value(
    mode: str, value: float, full_scale: float
) -> None:
    assert range_for(HANDHELD, mode, value).full_scale == pytest.approx(full_scale)


def test_the_order_of_the_ranges_does_not_matter() -> None:
    shuffled = list(HANDHELD.ranges)
    random.Random(4).shuffle(shuffled)
    for value in (0.02, 3.3, 19.0, 400.0):
        found = standard_uncertainty(meter(*shuffled), "V", value)
        assert found == standard_uncertainty(HANDHELD, "V", value)


def test_the_sign_of_a_reading_does_not_matter() -> None:
    minus = standard_uncertainty(HANDHELD, "V", -12.0)
    assert minus == standard_uncertainty(HANDHELD, "V", 12.0)


def test_a_coarser_last_digit_counts_instead_of_the_ranges_own() -> None:
    """0.41 V typed with two digits: 0.5 % + 2 counts of 10 mV = 22.05 mV."""
    found = standard_uncertainty(HANDHELD, "V", 0.41, 0.01)
    assert found.half_width == pytest.approx(0.02205)


def test_digits_that_the_meter_does_not_have_do_not_count() -> None:
    fine = standard_uncertainty(HANDHELD, "V", 0.41, 1e-6)
    assert fine == standard_uncertainty(HANDHELD, "V", 0.41)


def test_bench_supply_current() -> None:
    """14 mA read to 1 mA: 1.2 % + 2 counts = 2.168 mA."""
    found = standard_uncertainty(HANDHELD, "I", 0.014, 0.001)
    assert found.half_width == pytest.approx(0.002168)
    assert found.u == pytest.approx(0.002168 / 3**0.5)


def test_ohms_by_four_wires_are_finer() -> None:
    by_two = standard_uncertainty(HANDHELD, "R", 0.0032)
    by_four = standard_uncertainty(HANDHELD, "R", 0.0032, is_four_wire=True)
    assert by_two.half_width > 0.2
    assert by_four.half_width == pytest.approx(0.0032 * 0.02 + 2e-5)


def test_four_wires_change_nothing_but_ohms() -> None:
    four = standard_uncertainty(HANDHELD, "V", 3.3, is_four_wire=True)
    assert four == standard_uncertainty(HANDHELD, "V", 3.3)


def test_a_meter_without_four_wire_ranges_reads_on_its_ohms_ranges() -> None:
    plain = meter(MeterRange("R", 600.0, 0.9, 2, 0.1))
    assert range_for(plain, "R", 0.5, is_four_wire=True).mode == "R"
    assert range_for(HANDHELD, "R", 0.5, is_four_wire=True).mode == FOUR_WIRE


@pytest.mark.parametrize("mode", ["E", "W", ""])
def test_what_is_looked_at_or_counted_is_exact(mode: str) -> None:
    found = standard_uncertainty(HANDHELD, mode, 312.0)
    assert (found.u, found.half_width, found.full_scale) == (0.0, 0.0, None)


def test_a_range_of_percent_alone_is_sure_of_nought() -> None:
    assert standard_uncertainty(meter(MeterRange("V", 6, 1, 0, 0.001)), "V", 0).u == 0


@pytest.mark.parametrize(
    ("spec", "mode", "value", "code"),
    [
        (meter(), "V", 3.3, "no_range"),
        (HANDHELD, "V", 601.0, "beyond_range"),
        (HANDHELD, "D", 3.2, "beyond_range"),
        (meter(MeterRange("V", 6, 0, 0, 0.001)), "V", 3.3, "no_accuracy"),
        (meter(MeterRange("V", 6, -1, 2, 0.001)), "V", 3.3, "no_accuracy"),
        (meter(MeterRange("V", 6, 1, -2, 0.001)), "V", 3.3, "no_accuracy"),
    ],
)
def test_a_meter_that_cannot_have_shown_it(
    spec: MeterSpec, mode: str, value: float, code: str
) -> None:
    with pytest.raises(MeterError) as refused:
        standard_uncertainty(spec, mode, value)
    assert refused.value.code == code
    assert refused.value.values["meter"] == spec.name


def test_diode_mode_feeds_a_milliampere() -> None:
    """Domain 7.14 (common practice): about 1 mA, so 4.2 Ω reads 0.004 V."""
    assert HANDHELD.diode_amps * 4.2 == pytest.approx(0.004, abs=5e-4)
