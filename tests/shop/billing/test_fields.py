"""What people type as money, and what is refused beside the field."""

import re
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from shop.money import Money
from shop.money_fields import MoneyField, decimal_of


def money_field(currency: str = "EUR", least: int | None = 0) -> MoneyField:
    field = MoneyField(least=least)
    field.currency = currency
    return field


@pytest.mark.parametrize(
    ("typed", "amount"),
    [
        ("42", "42.00"),
        ("42.5", "42.50"),
        ("42,50", "42.50"),
        (" 1 234,50 ", "1234.50"),
        ("1\u202f234.50", "1234.50"),
        ("42 EUR", "42.00"),
        ("EUR 42,5", "42.50"),
        ("+7", "7.00"),
    ],
)
def test_both_decimal_marks_are_understood(typed: str, amount: str) -> None:
    assert money_field().clean(typed) == Money.of(amount, "EUR")


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("1,234", "At most 2 digits"),
        ("0.001", "At most 2 digits"),
        ("1.234,50", "Write a number such as"),
        ("1e3", "Write a number such as"),
        ("NaN", "Write a number such as|Amounts here"),
        ("Infinity", "Write a number such as"),
        ("٣", "Write a number such as"),
        ("12;DROP", "Write a number such as|Amounts here"),
        ("9999999999", "Write a number such as"),
        ("42 SEK", "Amounts here are in EUR"),
        ("$42", "Write a number such as"),
        ("-1", "cannot be below 0"),
        ("\u22121", "cannot be below 0"),
        ("5" * 41, "at most 40"),
    ],
)
def test_what_is_no_amount_is_refused_in_words(typed: str, says: str) -> None:
    with pytest.raises(ValidationError) as refusal:
        money_field().clean(typed)
    assert re.search(says, " ".join(refusal.value.messages))


def test_a_currency_without_cents_takes_none() -> None:
    assert money_field("JPY").clean("1500") == Money.of(1500, "JPY")
    with pytest.raises(ValidationError, match="At most 0 digits"):
        money_field("JPY").clean("1500.5")


def test_money_back_has_either_minus() -> None:
    field = money_field(least=None)
    back = Money.of("-3.50", "EUR")
    assert field.clean("-3.50") == field.clean("\u22123,50") == back


def test_an_empty_field_that_may_be_empty_is_nothing() -> None:
    field = MoneyField(required=False)
    field.currency = "EUR"
    assert field.clean("  ") is None


@given(st.decimals(0, 999_999_999, places=2), st.sampled_from([".", ","]))
def test_an_amount_comes_back_as_it_was_written(amount: Decimal, mark: str) -> None:
    assert decimal_of(f"{amount:f}".replace(".", mark), digits=2) == amount
