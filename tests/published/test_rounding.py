"""The one rounding rule: half up, away from zero (check-values 6.20 to 6.25).

EN 16931 BR-CO-17; an earlier artefact of the same committee says "half up"
(READ). The columns "half even" and "float" are what it must not be.
"""

from decimal import ROUND_HALF_EVEN, Decimal

import pytest

from shop.money import rounded

TWO_DIGITS = [
    ("365.125", "365.13", "365.12", 365.12),
    ("2.675", "2.68", "2.68", 2.67),
    ("0.125", "0.13", "0.12", 0.12),
    ("1.005", "1.01", "1.00", 1.00),
    ("-0.125", "-0.13", "-0.12", -0.12),
]


@pytest.mark.parametrize(("value", "half_up", "half_even", "in_floats"), TWO_DIGITS)
def test_two_digits_round_half_up(
    value: str, half_up: str, half_even: str, in_floats: float
) -> None:
    assert rounded(Decimal(value), "EUR") == Decimal(half_up)
    cent = Decimal("0.01")
    assert Decimal(value).quantize(cent, ROUND_HALF_EVEN) == Decimal(half_even)
    assert round(float(value), 2) == in_floats


@pytest.mark.parametrize(
    ("value", "half_up"), [("0.5", 1), ("1.5", 2), ("2.5", 3), ("3.5", 4)]
)
def test_no_digits_round_half_up(value: str, half_up: int) -> None:
    assert rounded(Decimal(value), "JPY") == half_up


def test_nothing_has_no_sign() -> None:
    assert str(rounded(Decimal("-0.004"), "EUR")) == "0.00"
