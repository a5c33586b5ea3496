"""A part's cost to its price. PURE.

The tier of a part goes by its cost; its price is the cost with the tier's
share on it, but at least the tier's minimum price. A salvaged part has no
cost and a price of its own, so it never comes here.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from shop.money import Money


@dataclass(frozen=True)
class Tier:
    """For costs below ``cost_below`` (None: any): share and minimum price."""

    cost_below: Money | None
    percent: Decimal
    minimum: Money


def price_of(cost: Money, tiers: Iterable[Tier]) -> Money:
    """The price of a part; its cost where no tier fits.

    >>> tier = Tier(None, Decimal(60), Money.of("2.00", "EUR"))
    >>> price_of(Money.of("6.40", "EUR"), [tier]).amount
    Decimal('10.24')
    >>> price_of(Money.of("0.30", "EUR"), [tier]).amount
    Decimal('2.00')
    """
    tier = _tier_for(cost, tiers)
    if tier is None:
        return cost
    return max(cost * (1 + tier.percent / 100), tier.minimum)


def _tier_for(cost: Money, tiers: Iterable[Tier]) -> Tier | None:
    """The narrowest tier that the cost lies below."""
    bounded, open_ended = list[tuple[Money, Tier]](), None
    for tier in tiers:
        if tier.cost_below is None:
            open_ended = tier
        elif cost < tier.cost_below:
            bounded.append((tier.cost_below, tier))
    if bounded:
        return min(bounded, key=lambda pair: pair[0])[1]
    return open_ended
