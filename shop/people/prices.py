"""What the customer pays where prices are said with tax. PURE."""

from decimal import Decimal

from shop.money import Money


def with_tax(net: Money, basis_points: int) -> Money:
    """A price with its tax, which is rounded as on an invoice of this line alone.

    >>> with_tax(Money.of("35.00", "EUR"), 1900).amount
    Decimal('41.65')
    """
    return net + net * (Decimal(basis_points) / 10000)
