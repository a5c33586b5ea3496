"""What is shown can be typed again, and the unit typed changes no value."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.engine.errors import TypedValueError
from diagnostics.engine.quantities import Outcome, parse, show
from diagnostics.engine.units import PHYSICAL

pytestmark = pytest.mark.long

UNITS = sorted(PHYSICAL)
DIGITS = st.integers(-9, 3).map(lambda power: 10.0**power)


def values(unit: str) -> st.SearchStrategy[float]:
    low, high = PHYSICAL[unit]
    # 0.1 % inside, so that rounding to four figures stays possible
    return st.floats(low * 0.999, high * 0.999, allow_subnormal=False)


QUANTITIES = st.sampled_from(UNITS).flatmap(
    lambda unit: st.tuples(values(unit), st.just(unit))
)


@given(QUANTITIES)
def test_what_is_shown_is_read_as_the_same_to_four_figures(
    quantity: tuple[float, str],
) -> None:
    value, unit = quantity
    typed = parse(show(value, unit), unit)
    assert typed.outcome is Outcome.VALUE
    assert typed.value == pytest.approx(value, rel=5.0001e-4, abs=0.5001e-12)


@given(st.sampled_from(["V", "A", "K"]), st.floats(-150, 150), DIGITS)
def test_what_is_shown_with_a_digit_is_read_within_half_of_it(
    unit: str, value: float, digit: float
) -> None:
    typed = parse(show(value, unit, digit), unit)
    assert typed.value == pytest.approx(value, rel=1e-9, abs=digit * 0.500001)
    assert typed.digit is not None
    if digit <= 1:
        assert typed.digit == pytest.approx(digit)


@given(
    st.decimals(0, 990, places=3, allow_nan=False),
    st.sampled_from(["", "k", "M"]),
)
def test_showing_what_was_typed_and_typing_it_again_changes_nothing(
    number: Decimal, prefix: str
) -> None:
    first = parse(f"{number} {prefix}Ω", "ohm")
    assert first.value is not None
    again = parse(show(first.value, "ohm", first.digit), "ohm")
    assert again.value == pytest.approx(first.value, rel=1e-12)
    assert again.digit == pytest.approx(first.digit)


@given(st.decimals(-999, 999, places=2), st.sampled_from([("V", "mV"), ("A", "mA")]))
def test_milli_and_plain_agree(number: Decimal, units: tuple[str, str]) -> None:
    plain, milli = units
    thousandth = number / 1000
    small = parse(f"{number} {milli}", plain)
    large = parse(f"{thousandth:.5f} {plain}", plain)
    assert small.value == large.value
    assert small.digit == pytest.approx(large.digit)


@given(st.decimals(0, 99999, places=2))
def test_both_decimal_marks_agree(number: Decimal) -> None:
    point = parse(f"{number} Ω", "ohm")
    comma = parse(f"{number} Ω".replace(".", ","), "ohm")
    assert (point.value, point.digit) == (comma.value, comma.digit)


@given(st.integers(0, 999), st.integers(0, 9), st.sampled_from("kMR"))
def test_a_letter_for_the_decimal_mark_is_the_decimal_mark(
    whole: int, part: int, letter: str
) -> None:
    prefix = letter.replace("R", "")
    assert (
        parse(f"{whole}{letter}{part}", "ohm").value
        == parse(f"{whole}.{part} {prefix}Ω", "ohm").value
    )


@given(st.text(max_size=60), st.sampled_from([*UNITS, ""]))
def test_any_text_is_read_or_refused_in_words(text: str, unit: str) -> None:
    try:
        typed = parse(text, unit)
    except TypedValueError:
        return
    assert (typed.value is None) is (typed.outcome is not Outcome.VALUE)


@given(st.text("0123456789.,' eE+-kKmMRVΩ*^/~OL", max_size=12))
def test_nothing_near_the_grammar_is_read_out_of_range(text: str) -> None:
    try:
        typed = parse(text, "ohm")
    except TypedValueError:
        return
    assert typed.value is None or 0 <= typed.value <= 1e12
