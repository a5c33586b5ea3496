"""Laws of totals, and a second way of working them out, in fractions."""

from collections import defaultdict
from decimal import Decimal
from fractions import Fraction
from math import floor
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from shop.billing.totals import PRICE_IS_PER, Line, totals
from shop.money import minor_digits

CURRENCY = st.sampled_from(["EUR", "JPY", "KWD"])
RATES = st.sampled_from(["0", "5.5", "7", "19", "20", "25"])


@st.composite
def line(draw: st.DrawFn, currency: str) -> Line:
    return Line.priced(
        code="",
        text="",
        quantity=draw(st.decimals(-999, 999, places=3)),
        unit=draw(st.sampled_from(["C62", "MIN"])),
        unit_price=draw(st.decimals(0, 9999, places=4)),
        tax_percent=Decimal(draw(RATES)),
        tax_category=draw(st.sampled_from(["S", "E"])),
        currency=currency,
    )


LINES = CURRENCY.flatmap(
    lambda currency: st.tuples(st.just(currency), st.lists(line(currency), max_size=12))
)


def half_up(value: Fraction, digits: int) -> Fraction:
    """Away from zero, written without ``decimal``."""
    scaled = abs(value) * 10**digits
    whole = Fraction(floor(scaled + Fraction(1, 2)), 10**digits)
    return whole if value >= 0 else -whole


@given(LINES)
def test_a_second_reckoning_in_fractions_agrees(
    drawn: tuple[str, list[Line]],
) -> None:
    currency, lines = drawn
    digits = minor_digits(currency)
    taxable = defaultdict[tuple[str, Decimal], Fraction](Fraction)
    for row in lines:
        per = PRICE_IS_PER.get(row.unit, 1)
        net = half_up(Fraction(row.quantity) * Fraction(row.unit_price) / per, digits)
        taxable[row.tax_category, row.tax_percent] += net
    tax = {
        key: half_up(sum_ * Fraction(key[1]) / 100, digits)
        for key, sum_ in taxable.items()
    }
    sums = totals(lines, currency)
    assert Fraction(sums.net.amount) == sum(taxable.values())
    assert Fraction(sums.tax.amount) == sum(tax.values())
    assert {
        (part.category, part.percent): Fraction(part.tax.amount) for part in sums.taxes
    } == tax


@given(LINES)
def test_totals_are_the_sums_of_their_parts(drawn: tuple[str, list[Line]]) -> None:
    currency, lines = drawn
    sums = totals(lines, currency)
    assert sums.net.minor == sum(row.net.minor for row in lines)
    assert sums.net.minor == sum(part.taxable.minor for part in sums.taxes)
    assert sums.tax.minor == sum(part.tax.minor for part in sums.taxes)
    assert sums.total == sums.net + sums.tax


@given(LINES, st.randoms())
def test_the_order_of_lines_does_not_matter(
    drawn: tuple[str, list[Line]], chance: Random
) -> None:
    currency, lines = drawn
    shuffled = list(lines)
    chance.shuffle(shuffled)
    assert totals(shuffled, currency) == totals(lines, currency)


@given(LINES)
def test_a_credit_note_takes_back_everything(drawn: tuple[str, list[Line]]) -> None:
    currency, lines = drawn
    there = totals(lines, currency)
    back = totals([row.taken_back() for row in lines], currency)
    assert (back.net, back.tax, back.total) == (-there.net, -there.tax, -there.total)
