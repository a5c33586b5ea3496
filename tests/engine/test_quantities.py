"""What people type at the bench, and what it is read as."""

import subprocess
import sys

import pytest

from diagnostics.engine.errors import TypedValueError
from diagnostics.engine.quantities import Outcome, parse, quantity, round_up, show

NBSP = "\N{NO-BREAK SPACE}"
NARROW = "\N{NARROW NO-BREAK SPACE}"
THIN = "\N{THIN SPACE}"
MINUS = "\N{MINUS SIGN}"

# typed, unit of the check, SI value, decimals typed, SI size of the last digit
VALUES = [
    # plain, both decimal marks
    ("3.28 V", "V", 3.28, 2, 0.01),
    ("3,28 V", "V", 3.28, 2, 0.01),
    ("3.28", "V", 3.28, 2, 0.01),
    ("3,28", "V", 3.28, 2, 0.01),
    ("3.28V", "V", 3.28, 2, 0.01),
    ("  3.28 V  ", "V", 3.28, 2, 0.01),
    ("3.280 V", "V", 3.28, 3, 0.001),
    (".5 V", "V", 0.5, 1, 0.1),
    (",5 V", "V", 0.5, 1, 0.1),
    ("19", "V", 19.0, 0, 1.0),
    ("007", "V", 7.0, 0, 1.0),
    ("0", "V", 0.0, 0, 1.0),
    ("-0", "V", 0.0, 0, 1.0),
    ("0.00 V", "V", 0.0, 2, 0.01),
    # signs
    ("-12 V", "V", -12.0, 0, 1.0),
    ("+12 V", "V", 12.0, 0, 1.0),
    ("- 12 V", "V", -12.0, 0, 1.0),
    (f"{MINUS}3 V", "V", -3.0, 0, 1.0),
    ("\N{EN DASH}3 V", "V", -3.0, 0, 1.0),
    ("\N{NON-BREAKING HYPHEN}0.02 V", "V", -0.02, 2, 0.01),
    ("-0 ohm", "ohm", 0.0, 0, 1.0),
    # spaces that look like one
    (f"3.28{NBSP}V", "V", 3.28, 2, 0.01),
    (f"3.28{NARROW}V", "V", 3.28, 2, 0.01),
    (f"4.7{THIN}kΩ", "ohm", 4700.0, 1, 100.0),
    ("3.28   V", "V", 3.28, 2, 0.01),
    ("3.28\tV", "V", 3.28, 2, 0.01),
    # spellings of units
    ("5 v", "V", 5.0, 0, 1.0),
    ("5 volt", "V", 5.0, 0, 1.0),
    ("5 Volts", "V", 5.0, 0, 1.0),
    ("5 VDC", "V", 5.0, 0, 1.0),
    ("5 V DC", "V", 5.0, 0, 1.0),
    ("100 Ω", "ohm", 100.0, 0, 1.0),
    ("100 \N{OHM SIGN}", "ohm", 100.0, 0, 1.0),
    ("100 ohm", "ohm", 100.0, 0, 1.0),
    ("100 Ohms", "ohm", 100.0, 0, 1.0),
    ("100R", "ohm", 100.0, 0, 1.0),
    ("1.2 A", "A", 1.2, 1, 0.1),
    ("1.2 amps", "A", 1.2, 1, 0.1),
    ("400 Hz", "Hz", 400.0, 0, 1.0),
    ("400 hz", "Hz", 400.0, 0, 1.0),
    ("18 K", "K", 18.0, 0, 1.0),
    ("18 \N{KELVIN SIGN}", "K", 18.0, 0, 1.0),
    ("18 °C", "K", 18.0, 0, 1.0),
    ("18 \N{DEGREE CELSIUS}", "K", 18.0, 0, 1.0),
    ("18 C", "K", 18.0, 0, 1.0),
    ("30 s", "s", 30.0, 0, 1.0),
    ("76.8 %", "%", 76.8, 1, 0.1),
    ("107 percent", "%", 107.0, 0, 1.0),
    ("312", "1", 312.0, 0, 1.0),
    ("1.234", "1", 1.234, 3, 0.001),
    # prefixes
    ("410 mV", "V", 0.41, 0, 0.001),
    ("410mv", "V", 0.41, 0, 0.001),
    ("410 m", "V", 0.41, 0, 0.001),
    ("18.5 mV", "V", 0.0185, 1, 1e-4),
    ("5 m V", "V", 0.005, 0, 0.001),
    ("20 µA", "A", 20e-6, 0, 1e-6),
    ("20 \N{GREEK SMALL LETTER MU}A", "A", 20e-6, 0, 1e-6),
    ("20 uA", "A", 20e-6, 0, 1e-6),
    ("5 nA", "A", 5e-9, 0, 1e-9),
    ("5 pA", "A", 5e-12, 0, 1e-12),
    ("14 mA", "A", 0.014, 0, 0.001),
    ("3.2 mΩ", "ohm", 0.0032, 1, 1e-4),
    ("4.7 kΩ", "ohm", 4700.0, 1, 100.0),
    ("4.7kohm", "ohm", 4700.0, 1, 100.0),
    ("4.7k ohm", "ohm", 4700.0, 1, 100.0),
    ("4.7 k ohm", "ohm", 4700.0, 1, 100.0),
    ("4.7K", "ohm", 4700.0, 1, 100.0),
    ("4.7k", "ohm", 4700.0, 1, 100.0),
    ("1.2 MΩ", "ohm", 1.2e6, 1, 1e5),
    ("1 Gohm", "ohm", 1e9, 0, 1e9),
    ("32.768 kHz", "Hz", 32768.0, 3, 1.0),
    ("32,768 kHz", "Hz", 32768.0, 3, 1.0),
    ("24 MHz", "Hz", 24e6, 0, 1e6),
    ("0.4 kV", "V", 400.0, 1, 100.0),
    # a letter for the decimal mark
    ("4k7", "ohm", 4700.0, 1, 100.0),
    ("4K7", "ohm", 4700.0, 1, 100.0),
    ("4k7Ω", "ohm", 4700.0, 1, 100.0),
    ("4k7 ohm", "ohm", 4700.0, 1, 100.0),
    ("4R7", "ohm", 4.7, 1, 0.1),
    ("0R22", "ohm", 0.22, 2, 0.01),
    ("R010", "ohm", 0.010, 3, 0.001),
    ("1M0", "ohm", 1e6, 1, 1e5),
    ("3V3", "V", 3.3, 1, 0.1),
    ("-3V3", "V", -3.3, 1, 0.1),
    ("3V3 V", "V", 3.3, 1, 0.1),
    ("1A5", "A", 1.5, 1, 0.1),
    ("32k768", "Hz", 32768.0, 3, 1.0),
    # exponents
    ("1e-3", "V", 0.001, 0, 0.001),
    ("1E3", "ohm", 1000.0, 0, 1000.0),
    ("4.70e3 Ω", "ohm", 4700.0, 2, 10.0),
    ("1e3 mV", "V", 1.0, 0, 1.0),
    ("1.234e0", "ohm", 1.234, 3, 0.001),
    # thousands that can mean nothing else
    ("1 234", "ohm", 1234.0, 0, 1.0),
    (f"1{NARROW}234 Ω", "ohm", 1234.0, 0, 1.0),
    ("12 345 678", "ohm", 12345678.0, 0, 1.0),
    ("1'234", "ohm", 1234.0, 0, 1.0),
    ("1\N{RIGHT SINGLE QUOTATION MARK}234", "ohm", 1234.0, 0, 1.0),
    ("1,234,567", "ohm", 1234567.0, 0, 1.0),
    ("1.234.567", "ohm", 1234567.0, 0, 1.0),
    ("1,234.5 Ω", "ohm", 1234.5, 1, 0.1),
    ("1.234,5 Ω", "ohm", 1234.5, 1, 0.1),
    ("1 234,5 mV", "V", 1.2345, 1, 1e-4),
    ("3 300 mV", "V", 3.3, 0, 0.001),
    # three digits behind a mark that can only be decimals
    ("1.234 Ω", "ohm", 1.234, 3, 0.001),
    ("1.234 kΩ", "ohm", 1234.0, 3, 1.0),
    ("4,712 kΩ", "ohm", 4712.0, 3, 1.0),
    ("0,123", "ohm", 0.123, 3, 0.001),
    ("1234,567", "ohm", 1234.567, 3, 0.001),
    ("3,285 V", "V", 3.285, 3, 0.001),
    ("19,134 V", "V", 19.134, 3, 0.001),
    ("1,234 A", "A", 1.234, 3, 0.001),
]


@pytest.mark.parametrize(("text", "unit", "value", "decimals", "digit"), VALUES)
def test_a_value_is_read(
    text: str, unit: str, value: float, decimals: int, digit: float
) -> None:
    typed = parse(text, unit)
    assert typed.outcome is Outcome.VALUE
    assert typed.value == pytest.approx(value, rel=1e-12, abs=0)
    assert (typed.decimals, typed.unit) == (decimals, unit)
    assert typed.digit == pytest.approx(digit, rel=1e-12)
    assert typed.text == text.strip()


WORDS = [
    *((text, Outcome.OVER_LIMIT) for text in ("OL", "ol", "0L", "0l", "O.L", "0.L")),
    *((text, Outcome.OVER_LIMIT) for text in ("O.L.", ".OL", "1 .", f"1{NBSP}.")),
    *((text, Outcome.OVER_LIMIT) for text in ("open", "Open loop", "open-loop")),
    *((text, Outcome.OVER_LIMIT) for text in ("over limit", "overload", "OL MΩ")),
    *((text, Outcome.OVER_LIMIT) for text in ("OL V", "0L kΩ", "over range")),
    *((text, Outcome.CLIMBING) for text in ("climbing", "Still climbing", "~")),
    *((text, Outcome.CANT_REACH) for text in ("can't reach", "can’t reach")),
    *((text, Outcome.CANT_REACH) for text in ("cannot reach", "CANT REACH")),
    *((text, Outcome.NOT_FITTED) for text in ("not fitted", "nf", "NF", "n/f")),
]


@pytest.mark.parametrize(("text", "outcome"), WORDS)
def test_a_word_is_an_outcome_without_value(text: str, outcome: Outcome) -> None:
    typed = parse(text, "ohm")
    assert typed.outcome is outcome
    assert (typed.value, typed.decimals, typed.digit) == (None, None, None)


REFUSED = [
    # nothing, or too much
    ("", "V", "empty"),
    ("   ", "V", "empty"),
    (NBSP, "V", "empty"),
    ("3." + "0" * 60, "V", "too_long"),
    ("OL" * 30, "V", "too_long"),
    # powers, formulas, other notations
    ("9**9**9**9 V", "V", "not_a_value"),
    ("9^9^9", "V", "not_a_value"),
    ("10² V", "V", "not_a_value"),
    ("3*4", "V", "not_a_value"),
    ("1/3 V", "V", "not_a_value"),
    ("0x10", "V", "not_a_value"),
    ("1_000", "V", "not_a_value"),
    ("1e400", "V", "not_a_value"),
    ("1e3e3", "V", "not_a_value"),
    ("inf", "V", "not_a_value"),
    ("nan", "V", "not_a_value"),
    ("½ V", "V", "not_a_value"),
    ("__import__('os')", "V", "not_a_value"),
    ("<b>3</b>", "V", "not_a_value"),
    ("'; DROP TABLE x", "V", "not_a_value"),
    ("3\x00V", "V", "not_a_value"),
    ("3\n3 V", "V", "not_a_value"),
    ("3\N{ZERO WIDTH SPACE}3 V", "V", "not_a_value"),
    ("\N{RIGHT-TO-LEFT OVERRIDE}33 V", "V", "not_a_value"),
    # not one number
    ("±3 V", "V", "not_a_value"),
    ("3 ± 1 V", "V", "not_a_value"),
    ("--3 V", "V", "not_a_value"),
    ("3-5 V", "V", "not_a_value"),
    ("3–5 V", "V", "not_a_value"),
    ("3 V 5", "V", "not_a_value"),
    ("~4.7k", "ohm", "not_a_value"),
    ("< 0.1 V", "V", "not_a_value"),
    ("3.2.8 V", "V", "not_a_value"),
    ("3,2,8 V", "V", "not_a_value"),
    ("3..28 V", "V", "not_a_value"),
    ("3. 28 V", "V", "not_a_value"),
    ("7 5 V", "V", "not_a_value"),
    ("1 23 V", "V", "not_a_value"),
    ("1,23,456", "ohm", "not_a_value"),
    ("1.234.5", "ohm", "not_a_value"),
    ("1.234 567", "ohm", "not_a_value"),
    # on an old meter "1" with a point is over the limit, so it is no number
    ("1.", "ohm", "not_a_value"),
    ("5.", "V", "not_a_value"),
    (".", "V", "not_a_value"),
    ("-", "V", "not_a_value"),
    ("V", "V", "not_a_value"),
    # units unknown, doubled or in two minds
    ("5 kg", "V", "not_a_value"),
    ("5 kmV", "V", "not_a_value"),
    ("5 km", "V", "not_a_value"),
    ("5 VAC", "V", "not_a_value"),
    ("5 °F", "K", "not_a_value"),
    ("4k7k", "ohm", "not_a_value"),
    ("4k7 kΩ", "ohm", "not_a_value"),
    ("3V3 A", "V", "not_a_value"),
    ("OL kg", "ohm", "not_a_value"),
    ("climbing kΩ", "ohm", "not_a_value"),
    ("maybe open", "ohm", "not_a_value"),
    # "mhz" is what people type for megahertz
    ("200 mhz", "Hz", "not_a_value"),
    ("200 m", "Hz", "not_a_value"),
    ("4m7", "Hz", "not_a_value"),
    # a check without a unit takes no number
    ("3.3", "", "not_a_value"),
    # digits of other scripts
    ("٣ V", "V", "foreign_digits"),
    ("３.２８ V", "V", "foreign_digits"),
    ("३.३ V", "V", "foreign_digits"),
    # another dimension
    ("3.3 V", "ohm", "wrong_dimension"),
    ("4R7", "V", "wrong_dimension"),
    ("3V3", "ohm", "wrong_dimension"),
    ("100 mA", "V", "wrong_dimension"),
    ("5 W", "V", "wrong_dimension"),
    ("100 nF", "ohm", "wrong_dimension"),
    ("1.2 Ah", "A", "wrong_dimension"),
    ("25 K", "V", "out_of_range"),
    # thousands or decimals?
    ("1,234", "ohm", "ambiguous_separator"),
    ("1.234", "ohm", "ambiguous_separator"),
    ("1,234 Ω", "ohm", "ambiguous_separator"),
    ("12,345", "Hz", "ambiguous_separator"),
    ("1,200 mV", "V", "ambiguous_separator"),
    ("-1,200 mV", "V", "ambiguous_separator"),
    ("1,234", "1", "ambiguous_separator"),
    # beyond the bench
    ("-0.1 Ω", "ohm", "negative_ohms"),
    (f"{MINUS}4k7", "ohm", "negative_ohms"),
    ("1 234 V", "V", "out_of_range"),
    ("1001 V", "V", "out_of_range"),
    ("-1001 V", "V", "out_of_range"),
    ("5 MV", "V", "out_of_range"),
    ("1e99", "V", "out_of_range"),
    ("9" * 40, "ohm", "out_of_range"),
    ("2e12 ohm", "ohm", "out_of_range"),
    ("201 A", "A", "out_of_range"),
    ("-1 Hz", "Hz", "out_of_range"),
    ("-1 s", "s", "out_of_range"),
    ("2000 K", "K", "out_of_range"),
]


@pytest.mark.parametrize(("text", "unit", "code"), REFUSED)
def test_it_is_refused(text: str, unit: str, code: str) -> None:
    with pytest.raises(TypedValueError) as refused:
        parse(text, unit)
    assert refused.value.code == code


def test_nought_has_no_sign() -> None:
    assert str(parse("-0.00", "V").value) == "0.0"
    assert str(parse("-0", "ohm").value) == "0.0"


def test_enough_strings_are_tried() -> None:
    assert len(VALUES) + len(WORDS) + len(REFUSED) >= 120


def test_a_refusal_carries_what_its_sentence_needs() -> None:
    with pytest.raises(TypedValueError) as refused:
        parse("5 W", "V")
    assert refused.value.values == {"expected": "V", "got": "W", "typed": "5 W"}
    assert str(refused.value) == "wrong_dimension(expected='V', got='W', typed='5 W')"


def test_a_refusal_without_values_is_its_code() -> None:
    assert str(TypedValueError("empty")) == "empty"


SHOWN = [
    (0.41, "V", 0.01, "0.41 V"),
    (0.02, "V", 0.01, "0.02 V"),
    (0.0, "V", 0.01, "0.00 V"),
    (-12.0, "V", 0.01, "−12.00 V"),
    (3.3, "V", None, "3.3 V"),
    (0.0185, "V", None, "18.5 mV"),
    (4700.0, "ohm", 100.0, "4.7 kΩ"),
    (4700.0, "ohm", 1.0, "4.700 kΩ"),
    (50000.0, "ohm", 10000.0, "0.05 MΩ"),
    (999.96, "ohm", None, "1 kΩ"),
    (0.2, "ohm", None, "0.2 Ω"),
    (0.0032, "ohm", None, "3.2 mΩ"),
    (0.0, "ohm", None, "0 Ω"),
    (-0.001, "V", 0.01, "0.00 V"),
    (32768.0, "Hz", 1.0, "32.768 kHz"),
    (0.5, "Hz", None, "0.5 Hz"),
    (20e-6, "A", None, "20 µA"),
    (18.0, "K", None, "18 K"),
    (107.0, "%", None, "107 %"),
    (1234.0, "1", None, "1234"),
    (1e-99, "V", None, "0 V"),
    (3e9, "V", 1e9, "3000000 kV"),
    (float("inf"), "ohm", None, "OL"),
]


@pytest.mark.parametrize(("value", "unit", "digit", "text"), SHOWN)
def test_a_value_is_shown(
    value: float, unit: str, digit: float | None, text: str
) -> None:
    assert show(value, unit, digit).replace(NBSP, " ") == text


def test_number_and_unit_do_not_part_at_a_line_end() -> None:
    assert show(3.3, "V") == f"3.3{NBSP}V"


@pytest.mark.parametrize(
    ("value", "digit", "expected"),
    [
        (0.0041, 0.001, 0.005),
        (-0.0041, 0.001, -0.005),
        (0.03000000000000001, 0.01, 0.03),
    ],
)
def test_an_error_is_rounded_away_from_nought(
    value: float, digit: float, expected: float
) -> None:
    assert round_up(value, digit) == expected


def test_a_value_becomes_a_quantity_with_its_dimension() -> None:
    found = quantity(parse("4k7", "ohm"))
    assert found.to("kiloohm").magnitude == pytest.approx(4.7)
    assert quantity(parse("18 °C", "K")).units == "kelvin"
    assert quantity(parse("50 %", "%")).to("dimensionless").magnitude == 0.5
    assert quantity(parse("7", "1")).dimensionless


def test_volts_over_amperes_are_ohms_by_an_outside_library() -> None:
    """Domain 7.6: 3.2 mV at 1.000 A are 3.2 mΩ."""
    ohms = quantity(parse("3.2 mV", "V")) / quantity(parse("1.000 A", "A"))
    assert ohms.to("milliohm").magnitude == pytest.approx(3.2)


def test_a_word_has_no_quantity() -> None:
    with pytest.raises(TypedValueError, match="not_a_value"):
        quantity(parse("OL", "V"))


def test_reading_a_value_does_not_load_pint() -> None:
    code = (
        "import sys; from diagnostics.engine.quantities import parse; "
        "parse('3V3', 'V'); sys.exit('pint' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], check=False)
    assert done.returncode == 0
