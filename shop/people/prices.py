"""What the customer pays where prices are said with tax. PURE."""

from decimal import Decimal

from shop.money import Money


def with_tax(net: Money, basis_points: int) -> Money:
    """A price with its tax, which is rounded as on an invoice of this line alone.

    >>> with_tax(Money.of("35.00", "EUR"), 1900).amount
    Decimal('41.65')
    """
    return net + net * (Decimal(basis_points) / 10000)


def as_paid(net: Money, basis_points: int, *, is_shown: bool) -> Money | None:
    """The price with tax where the shop says it so, and where there is tax."""
    return with_tax(net, basis_points) if is_shown and basis_points else None
