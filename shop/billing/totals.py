"""Lines and tax to totals. PURE; quote, invoice and credit note use the same.

The rules are those of EN 16931 (BR-CO-10, 13 to 17): a line's net is rounded
first, nets are summed, tax is worked out once for each category and rate on
the sum of its lines, half up (away from zero), then everything is added.
A price is never negative (BR-27): what is taken off has a negative quantity.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Self

from shop.money import CurrencyMismatch, Money, total

STANDARD = "S"
ONE = "C62"
MINUTE = "MIN"
HOUR = "HUR"
# Price base quantity (BT-149): the price of minutes is said per hour, so that
# a step of 10 minutes stays exact.
PRICE_IS_PER = {MINUTE: 60}


@dataclass(frozen=True)
class Line:
    """What, how much, at which price and tax. ``net`` is rounded."""

    code: str
    text: str
    quantity: Decimal
    unit: str
    unit_price: Decimal
    tax_category: str
    tax_percent: Decimal
    net: Money

    @classmethod
    def priced(
        cls,
        *,
        code: str,
        text: str,
        quantity: Decimal,
        unit_price: Decimal,
        tax_percent: Decimal,
        currency: str,
        unit: str = ONE,
        tax_category: str = STANDARD,
    ) -> Self:
        """A line whose net is quantity times price, rounded half up.

        >>> line = Line.priced(
        ...     code="labour", text="Repair", quantity=Decimal(90), unit="MIN",
        ...     unit_price=Decimal("72.00"), tax_percent=Decimal(20), currency="EUR",
        ... )
        >>> line.net.amount
        Decimal('108.00')
        """
        amount = quantity * unit_price / PRICE_IS_PER.get(unit, 1)
        return cls(
            code=code,
            text=text,
            quantity=quantity,
            unit=unit,
            unit_price=unit_price,
            tax_category=tax_category,
            tax_percent=tax_percent,
            net=Money.of(amount, currency),
        )

    def lawful(self, untaxed_as: str) -> Self:
        """Standard tax has a rate: what is billed without has its own category."""
        if self.tax_percent or self.tax_category != STANDARD:
            return self
        return replace(self, tax_category=untaxed_as)

    def taken_back(self) -> Self:
        """The same line on a credit note."""
        return replace(self, quantity=-self.quantity, net=-self.net)


@dataclass(frozen=True)
class TaxSum:
    """Tax of one category and rate (EN 16931, BG-23)."""

    category: str
    percent: Decimal
    taxable: Money
    tax: Money


@dataclass(frozen=True)
class Totals:
    """Sums of a document: BT-109, BG-23, BT-110 and BT-112."""

    net: Money
    taxes: tuple[TaxSum, ...]
    tax: Money
    total: Money


def totals(lines: Sequence[Line], currency: str) -> Totals:
    """The totals of lines; ``CurrencyMismatch`` where a line has another one."""
    for line in lines:
        if line.net.currency != currency:
            raise CurrencyMismatch(f"{line.net.currency} on a paper in {currency}")
    rates = sorted({(line.tax_percent, line.tax_category) for line in lines})
    taxes = tuple(
        _tax_sum(lines, category, percent, currency)
        for percent, category in reversed(rates)
    )
    net = _sum((line.net for line in lines), currency)
    tax = _sum((part.tax for part in taxes), currency)
    return Totals(net=net, taxes=taxes, tax=tax, total=net + tax)


def _tax_sum(
    lines: Sequence[Line], category: str, percent: Decimal, currency: str
) -> TaxSum:
    taxable = _sum(
        (
            line.net
            for line in lines
            if (line.tax_category, line.tax_percent) == (category, percent)
        ),
        currency,
    )
    return TaxSum(category, percent, taxable, taxable * (percent / 100))


def _sum(amounts: Iterable[Money], currency: str) -> Money:
    return total(list(amounts), currency)
