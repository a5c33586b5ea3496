"""Marks and prefixes as the standards write them (check-values 5.9 to 5.11).

IEC 60062:2016, a letter for the decimal mark: 12R0 READ, the rest MEMORY.
Prefixes: BIPM, The International System of Units, 9th edition, table 7 (MEMORY),
and pint's own table as an outside witness.
"""

import pint
import pytest

from diagnostics.engine.errors import TypedValueError
from diagnostics.engine.quantities import parse
from diagnostics.engine.units import PREFIXES


@pytest.mark.parametrize(
    ("mark", "ohms"),
    [
        ("12R0", 12.0),  # READ
        ("4R7", 4.7),
        ("R010", 0.010),
        ("R47", 0.47),
        ("0R22", 0.22),
        ("R005", 0.005),
        ("59R04", 59.04),
        ("4K7", 4700.0),
        ("4k7", 4700.0),
        ("1K0", 1000.0),
        ("10K0", 10e3),
        ("590K4", 590.4e3),
        ("1M0", 1e6),
        ("3M32", 3.32e6),
        ("1G0", 1e9),
    ],
)
def test_a_letter_stands_for_the_decimal_mark(mark: str, ohms: float) -> None:
    assert parse(mark, "ohm").value == pytest.approx(ohms, rel=1e-12)


def test_volts_take_the_letter_v() -> None:
    """3V3: the same habit on drawings, common practice."""
    assert parse("3V3", "V").value == 3.3
    assert parse("1V05", "V").value == 1.05


@pytest.mark.parametrize("mark", ["104", "103", "472", "220", "000"])
def test_a_typed_number_is_no_three_digit_mark(mark: str) -> None:
    """104 typed at the bench is 104 Ω read on a meter, not 100 kΩ printed."""
    assert parse(mark, "ohm").value == float(mark)


@pytest.mark.parametrize("mark", ["01C", "68X", "18D"])
def test_two_digits_and_a_letter_are_no_reading(mark: str) -> None:
    """EIA-96 marks (IEC 60062) are for the mark reader: here 01C isn't ohms."""
    with pytest.raises(TypedValueError):
        parse(mark, "ohm")


@pytest.mark.parametrize(
    ("prefix", "name", "power"),
    [
        ("p", "pico", -12),
        ("n", "nano", -9),
        ("u", "micro", -6),
        ("m", "milli", -3),
        ("k", "kilo", 3),
        ("M", "mega", 6),
        ("G", "giga", 9),
    ],
)
def test_si_prefixes(prefix: str, name: str, power: int) -> None:
    assert PREFIXES[prefix] == power
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    outside = registry.Quantity(1.0, f"{name}volt").to("volt").magnitude
    assert outside == pytest.approx(10.0**power, rel=1e-12)
    ohms = parse(f"1 {prefix}Ω", "ohm").value
    assert ohms == pytest.approx(10.0**power, rel=1e-12)


def test_both_micro_signs_and_the_letter_agree() -> None:
    found = {parse(f"47 {sign}A", "A").value for sign in ("µ", "μ", "u")}
    assert found == {47e-6}
