"""What comes on top of labour: the least it is billed at, and express. PURE."""

from decimal import Decimal

from shop.money import Money, nothing


def up_to_minimum(labour: Money, minimum: Money) -> Money:
    """What labour lacks of the minimum; nothing where there is no labour.

    >>> up_to_minimum(Money.of("15.00", "EUR"), Money.of("40.00", "EUR")).amount
    Decimal('25.00')
    """
    if labour.amount <= 0 or labour >= minimum:
        return nothing(labour.currency)
    return minimum - labour


def express_on(labour: Money, percent: int) -> Money:
    """The surcharge on labour (with what brought it up to its minimum), half up.

    >>> express_on(Money.of("52.50", "EUR"), 30).amount
    Decimal('15.75')
    """
    return labour * (Decimal(percent) / 100)
