"""Prices with tax: exact by EN 16931's own rules, or refused with the nearest."""

from decimal import Decimal
from fractions import Fraction
from math import floor
from random import Random

import pytest

from shop.billing.inclusive import NoSuchPrice, Priced, lines_of, nearest, net_of
from shop.billing.totals import totals
from shop.money import Money
from tests.shop.billing.conftest import euro

RATES = ("0", "5.5", "7", "10", "19", "20", "21", "25", "27")


def half_up(value: Fraction) -> int:
    return floor(value + Fraction(1, 2))


def gross_of(net: int, percent: str) -> int:
    """BR-CO-14, 15, 17 in whole cents, written out again in fractions."""
    return net + half_up(net * Fraction(percent) / 100)


@pytest.mark.parametrize("percent", RATES)
def test_each_price_is_reproduced_or_no_net_gives_it(percent: str) -> None:
    """All prices to 30.00: against every net there is, tried one by one."""
    reached = {gross_of(net, percent): net for net in range(3001)}
    for cents in range(3001):
        net = net_of(Money.from_minor(cents, "EUR"), Decimal(percent))
        assert (None if net is None else net.minor) == reached.get(cents), cents


@pytest.mark.parametrize("percent", RATES)
def test_the_nearest_are_the_next_that_can_be_said(percent: str) -> None:
    reached = {gross_of(net, percent) for net in range(3003)}
    for cents in range(1, 3000):
        said = [one.minor for one in nearest(euro("0.01") * cents, Decimal(percent))]
        if cents in reached:
            assert said == [cents]
            continue
        assert said == [
            max(one for one in reached if one < cents),
            min(one for one in reached if one > cents),
        ]


def test_a_sale_comes_to_the_sum_of_its_prices() -> None:
    """5,000 sales of up to five lines in several rates: exact, or refused by rate."""
    chance = Random(11)
    refused = 0
    for _ in range(5000):
        sold = [drawn(chance) for _ in range(chance.randint(1, 5))]
        rates = dict.fromkeys((one.rate for one in sold), 0)
        for one in sold:
            rates[one.rate] += one.gross.minor
        if not all(is_said(cents, rate[1]) for rate, cents in rates.items()):
            refused += 1
            with pytest.raises(NoSuchPrice):
                lines_of(sold)
            continue
        lines = lines_of(sold)
        sums = totals(lines, "EUR")
        assert sums.total.minor == sum(one.gross.minor for one in sold)
        for one, line in zip(sold, lines, strict=True):
            exact = Fraction(one.gross.minor * 100) / (100 + Fraction(one.tax_percent))
            assert abs(line.net.minor - exact) < 1
    assert 0 < refused < 2500


def is_said(cents: int, percent: Decimal) -> bool:
    near = half_up(Fraction(cents * 100) / (100 + Fraction(percent)))
    return cents in {gross_of(net, str(percent)) for net in range(near - 3, near + 4)}


def drawn(chance: Random) -> Priced:
    return Priced(
        code="sale",
        text="Cable",
        quantity=Decimal(chance.randint(1, 60)),
        gross_each=Money.from_minor(chance.randint(1, 30000), "EUR"),
        tax_percent=Decimal(chance.choice(("19", "7", "20"))),
    )


def test_a_price_that_cannot_be_said_names_its_neighbours() -> None:
    """0.02 gives 0.02 at 19 %, 0.03 gives 0.04: nothing gives 0.03."""
    one = Priced("sale", "Screw", Decimal(1), euro("0.03"), Decimal(19))
    with pytest.raises(NoSuchPrice) as refusal:
        lines_of([one])
    assert refusal.value.nearest == (euro("0.02"), euro("0.04"))


def test_so_many_that_no_price_of_one_gives_them_are_refused() -> None:
    """A price has four decimals: 99,999 pieces can't be said to the cent."""
    many = Priced("sale", "Screw", Decimal(99_999), euro("0.11"), Decimal(19))
    with pytest.raises(NoSuchPrice):
        lines_of([many])
