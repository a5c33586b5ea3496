"""Bench calculators against data sheets, IEC 60062, IEC 60063 and IEC 60028.

Read: LM2596 (SNVS124) procedure, TPS54331 V_ref (SLVS839), a converter tutorial's
12 to 5 V case, marks 220, 104, 1001, 4992, 12R0 and 01C, E96 spot values. From
MEMORY: the TPS54331 resistor pair, LM317, the other marks, SLVA477's formulas,
IEC 60028's two constants.
"""

import pytest

from diagnostics.engine.calculators.bucks import Buck, buck
from diagnostics.engine.calculators.copper import Copper, copper
from diagnostics.engine.calculators.dividers import Divider, divider
from diagnostics.engine.calculators.markings import Marking, marking

# IEC 60063:2015, series E96.
E96 = (
    "100 102 105 107 110 113 115 118 121 124 127 130 133 137 140 143 147 150 154 158 "
    "162 165 169 174 178 182 187 191 196 200 205 210 215 221 226 232 237 243 249 255 "
    "261 267 274 280 287 294 301 309 316 324 332 340 348 357 365 374 383 392 402 412 "
    "422 432 442 453 464 475 487 499 511 523 536 549 562 576 590 604 619 634 649 665 "
    "681 698 715 732 750 768 787 806 825 845 866 887 909 931 953 976"
).split()


@pytest.mark.parametrize(
    ("given", "volts"),
    [
        (Divider(15.4e3, 1e3, 1.23), 20.172),
        (Divider(10.2e3, 3.24e3, 0.8), 3.31852),
        (Divider(720, 240, 1.25), 5.000),
    ],
    ids=["LM2596", "TPS54331", "LM317 without I_adj"],
)
def test_output_of_a_feedback_divider(given: Divider, volts: float) -> None:
    assert divider(given).volts == pytest.approx(volts, abs=5e-6 * 10)


@pytest.mark.parametrize(
    ("given", "low", "high"),
    [
        (Divider(15.4e3, 1e3, 1.23, resistor_tolerance=0.01), 19.7969, 20.5547),
        (Divider(10.2e3, 3.24e3, 0.8, resistor_tolerance=0.01), 3.26865, 3.36940),
    ],
)
def test_corners_of_one_per_cent_resistors(
    given: Divider, low: float, high: float
) -> None:
    found = divider(given)
    assert found.low == pytest.approx(low, abs=1e-4)
    assert found.high == pytest.approx(high, abs=1e-4)


@pytest.mark.parametrize(
    ("mark", "ohms"),
    [
        ("220", 22.0),
        ("104", 100e3),
        ("103", 10e3),
        ("472", 4.7e3),
        ("000", 0.0),
        ("0", 0.0),
        ("1001", 1e3),
        ("4992", 49.9e3),
        ("1000", 100.0),
        ("12R0", 12.0),
        ("4R7", 4.7),
        ("R010", 0.010),
        ("R47", 0.47),
        ("01C", 10e3),
        ("68X", 49.9),
        ("68C", 49.9e3),
        ("01A", 100.0),
        ("01B", 1e3),
        ("18C", 15e3),
        ("30C", 20e3),
        ("09X", 12.1),
        ("47C", 30.1e3),
        ("51D", 332e3),
        ("01Y", 1.0),
        ("96F", 97.6e6),
    ],
)
def test_resistor_markings(mark: str, ohms: float) -> None:
    assert list(marking(Marking(mark)).all) == pytest.approx([ohms], rel=1e-9)


def test_two_digits_and_r_can_mean_two_things() -> None:
    """77R: 77 ohm by the letter, 6.19 ohm by E96 (5.13)."""
    assert list(marking(Marking("77R")).all) == pytest.approx([77.0, 6.19])


def test_where_both_readings_are_one_there_is_one() -> None:
    """01R: 1.00 ohm by E96 (5.12, from memory) as by the letter."""
    assert marking(Marking("01R")).all == (1.0,)


def test_the_two_digit_code_is_the_e96_series() -> None:
    assert [f"{marking(Marking(f'{n:02}A')).ohms:.0f}" for n in range(1, 97)] == E96


@pytest.mark.parametrize(
    ("efficiency", "duty", "ripple"),
    [(1.0, 0.416667, 0.583333), (0.9, 0.462963, 0.648148)],
)
def test_duty_and_ripple_of_a_step_down_converter(
    efficiency: float, duty: float, ripple: float
) -> None:
    """12 to 5 V, 500 kHz, 10 µH."""
    given = Buck(12, 5, 500e3, 10e-6, 220e-6, efficiency=efficiency)
    found = buck(given)
    assert found.duty == pytest.approx(duty, abs=5e-7)
    assert found.ripple_amperes == pytest.approx(ripple, abs=5e-7)


def test_the_capacitor_that_holds_the_ripple_to_fifty_millivolts() -> None:
    found = buck(Buck(12, 5, 500e3, 10e-6, 2.9167e-6))
    assert found.ripple_volts == pytest.approx(0.050, abs=1e-5)


def test_the_inductor_for_ripple_of_thirty_per_cent() -> None:
    """5.24  9.72222 µH for 0.6 A; 5.27  2.910 µH for 2.1 A (figures MEMORY)."""
    first = buck(Buck(12, 5, 500e3, 9.72222e-6, 220e-6))
    second = buck(Buck(24, 2, 300e3, 2.910e-6, 220e-6))
    assert first.ripple_amperes == pytest.approx(0.6, abs=1e-6)
    assert second.ripple_amperes == pytest.approx(0.3 * 7, rel=2e-4)


def test_a_core_rail() -> None:
    """5.28  19 to 1.05 V, 300 kHz, 0.56 µH: D 0.0552632, 5.90461 A."""
    found = buck(Buck(19, 1.05, 300e3, 0.56e-6, 220e-6))
    assert found.duty == pytest.approx(0.0552632, abs=5e-8)
    assert found.ripple_amperes == pytest.approx(5.90461, abs=5e-6)


def test_volt_seconds_of_the_data_sheet() -> None:
    """5.18  LM2596: 28 V less 1.16 V of switch, 0.5 V of diode: 34.2 V µs (READ)."""
    found = buck(Buck(28 - 1.16 + 0.5, 20 + 0.5, 150e3, 1e-6, 220e-6))
    assert found.ripple_amperes * 1e-6 == pytest.approx(34.19e-6, abs=5e-9)


def test_the_resistor_that_the_data_sheet_asks_for() -> None:
    """5.14  LM2596: 15.26 kohm over 1 kohm and 1.23 V give 20 V (READ)."""
    found = divider(Divider(15.26e3, 1e3, 1.23))
    assert found.volts == pytest.approx(20.0, abs=0.005)


def test_copper_by_the_square_and_warm() -> None:
    """5.31, 5.32  35 µm: 0.4926 mohm a square at 20 C, 0.5023 at 25, 0.6475 at 100."""
    square = [copper(Copper(1, 35e-6, celsius)).ohms for celsius in (20, 25, 100)]
    assert square == pytest.approx([0.492611e-3, 0.502291e-3, 0.647488e-3], rel=2e-6)
    ounce = copper(Copper(1, 34.8e-6)).ohms
    assert ounce == pytest.approx(0.495442e-3, rel=2e-6)


def test_a_trace_of_ten_squares() -> None:
    """5.33  10 mm by 1 mm: 4.92611 mohm, 24.6305 mV at 5 A."""
    ohms = copper(Copper(10)).ohms
    assert ohms == pytest.approx(4.92611e-3, rel=2e-6)
    assert 5 * ohms == pytest.approx(24.6305e-3, rel=2e-6)
