"""A part's price (domain.md: the worked cases and the tiers of Money)."""

from decimal import Decimal
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.billing.markup import Tier, price_of
from shop.money import Money


def euro(amount: str) -> Money:
    return Money.of(amount, "EUR")


TIERS = [
    Tier(None, Decimal(15), euro("0")),
    Tier(euro("20.00"), Decimal(60), euro("2.00")),
    Tier(euro("60.00"), Decimal(30), euro("0")),
]


@pytest.mark.parametrize(
    ("cost", "price"),
    [
        ("0.30", "2.00"),  # case A: the minimum
        ("6.40", "10.24"),  # case B: 60 %
        ("1.25", "2.00"),
        ("1.26", "2.02"),
        ("19.99", "31.98"),
        ("20.00", "26.00"),
        ("59.99", "77.99"),
        ("60.00", "69.00"),
    ],
)
def test_a_price_is_the_cost_with_its_tiers_share(cost: str, price: str) -> None:
    assert price_of(euro(cost), TIERS) == euro(price)


def test_without_a_tier_a_part_is_billed_at_cost() -> None:
    assert price_of(euro("70.00"), TIERS[1:]) == euro("70.00")


@given(st.integers(0, 10**7), st.randoms())
def test_the_order_of_tiers_does_not_matter_and_no_part_loses_money(
    minor: int, chance: Random
) -> None:
    cost = Money.from_minor(minor, "EUR")
    tiers = list(TIERS)
    chance.shuffle(tiers)
    assert price_of(cost, tiers) == price_of(cost, TIERS) >= cost
