"""Minor units of currencies against ISO 4217 list one (check-values 8.27)."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.money import Amount, CurrencyMismatch, Money, minor_digits, nothing, total

ISO_4217 = {
    0: "JPY KRW ISK VND CLP",
    2: "EUR USD CHF HUF MGA MRU",
    3: "KWD BHD TND",
    4: "CLF UYW",
}
CURRENCIES = [
    (currency, digits)
    for digits, names in ISO_4217.items()
    for currency in names.split()
]


@pytest.mark.parametrize(("currency", "digits"), CURRENCIES)
def test_a_currency_has_the_digits_of_the_standard(currency: str, digits: int) -> None:
    assert minor_digits(currency) == digits
    assert Money.from_minor(1, currency).amount == Decimal(1).scaleb(-digits)


@given(st.integers(-(10**12), 10**12), st.sampled_from([c for c, _d in CURRENCIES]))
def test_minor_units_come_back_as_they_went(minor: int, currency: str) -> None:
    assert Money.from_minor(minor, currency).minor == minor


@given(st.lists(st.integers(-(10**9), 10**9)))
def test_a_sum_is_the_sum_of_the_minor_units(minors: list[int]) -> None:
    amounts = [Money.from_minor(minor, "EUR") for minor in minors]
    assert total(amounts, "EUR").minor == sum(minors)


def test_an_amount_finer_than_its_currency_is_refused() -> None:
    with pytest.raises(ValueError, match="finer than JPY"):
        Money(Decimal("0.5"), "JPY")


def test_an_amount_keeps_the_digits_of_its_currency() -> None:
    assert str(Money(Decimal(3), "EUR")) == "3.00"
    assert str(-Money(Decimal(35), "EUR")) == "\N{MINUS SIGN}35.00"


def test_two_currencies_are_neither_added_nor_compared() -> None:
    euro, krona = Money.of(1, "EUR"), Money.of(1, "SEK")
    for act in (lambda: euro + krona, lambda: euro - krona, lambda: euro < krona):
        with pytest.raises(CurrencyMismatch):
            act()
    assert euro != krona


def test_amounts_are_ordered_and_zero_is_false() -> None:
    assert Money.of("0.99", "EUR") < Money.of(1, "EUR")
    assert not nothing("EUR")
    assert Money.of("0.01", "EUR")


def test_a_rows_money_reads_its_minor_units() -> None:
    class Row:
        currency, net_minor = "KWD", 1500
        net = Amount()

    assert Row().net == Money.of("1.500", "KWD")
    assert isinstance(Row.net, Amount)
