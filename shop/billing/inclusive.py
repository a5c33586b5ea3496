"""Prices said with their tax: reproduced exactly on the invoice, or refused. PURE.

An invoice by EN 16931 knows net prices alone: lines are rounded, summed, and taxed by
rate (BR-CO-17). Not every price with tax comes out of that: at 19 % nothing gives
0.03, since 0.02 gives 0.02 and 0.03 gives 0.04. Such a price is refused with the
nearest ones that can be said.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

from shop.billing.totals import ONE, PRICE_IS_PER, STANDARD, Line
from shop.money import Money, minor_digits, total

FINEST_PRICE = Decimal("0.0001")
ONE_PIECE = Decimal(1)


class NoSuchPrice(ValueError):
    """No net price gives this one; ``nearest`` are the next below and above."""

    def __init__(self, gross: Money, nearest: tuple[Money, ...]) -> None:
        super().__init__(f"no net price gives {gross.amount}")
        self.gross, self.nearest = gross, nearest


@dataclass(frozen=True)
class Priced:
    """A line whose price of one is said with its tax."""

    code: str
    text: str
    quantity: Decimal
    gross_each: Money
    tax_percent: Decimal
    tax_category: str = STANDARD
    unit: str = ONE

    @property
    def gross(self) -> Money:
        return self.gross_each * (self.quantity / PRICE_IS_PER.get(self.unit, 1))

    @property
    def rate(self) -> tuple[str, Decimal]:
        return self.tax_category, self.tax_percent


def with_tax(net: Money, percent: Decimal) -> Money:
    """What an invoice of this net alone comes to."""
    return net + net * (percent / 100)


def net_of(gross: Money, percent: Decimal) -> Money | None:
    """The one net that comes to this price with tax; ``None`` where none does.

    >>> net_of(Money.of("41.65", "EUR"), Decimal(19)).amount
    Decimal('35.00')
    """
    near = gross * (100 / (100 + percent))
    for step in (0, -1, 1):
        net = Money.from_minor(near.minor + step, gross.currency)
        if with_tax(net, percent) == gross:
            return net
    return None


def nearest(gross: Money, percent: Decimal) -> tuple[Money, ...]:
    """The next prices below and above that some net comes to; itself, if it does."""
    if net_of(gross, percent) is not None:
        return (gross,)
    return tuple(_next(gross, percent, step) for step in (-1, 1))


def lines_of(priced: Sequence[Priced]) -> list[Line]:
    """The lines of an invoice that comes to the sum of these prices.

    Each rate's prices are summed first, so that the whole comes out; the net of that
    sum is then shared out, each line within a minor unit of its own. ``NoSuchPrice``
    where a rate's sum, or a line's price of one, can't be said.
    """
    rates: dict[tuple[str, Decimal], list[int]] = {}
    for place, one in enumerate(priced):
        rates.setdefault(one.rate, []).append(place)
    nets: dict[int, Money] = {}
    for (_category, percent), places in rates.items():
        nets |= _shared([priced[place] for place in places], places, percent)
    return [_line(one, nets[place]) for place, one in enumerate(priced)]


def _next(gross: Money, percent: Decimal, step: int) -> Money:
    other = gross
    while net_of(other, percent) is None:
        other = Money.from_minor(other.minor + step, gross.currency)
    return other


def _shared(
    rows: Sequence[Priced], places: Sequence[int], percent: Decimal
) -> Mapping[int, Money]:
    """The net of a rate's sum, shared by largest remainder."""
    currency = rows[0].gross_each.currency
    gross = total([row.gross for row in rows], currency)
    net = net_of(gross, percent)
    if net is None:
        raise NoSuchPrice(gross, nearest(gross, percent))
    unit = Decimal(1).scaleb(-minor_digits(currency))
    exact = [row.gross.amount * 100 / (100 + percent) / unit for row in rows]
    floors = [int(one.to_integral_value(ROUND_FLOOR)) for one in exact]
    by_remainder = sorted(range(len(rows)), key=lambda n: floors[n] - exact[n])
    for n in _few(by_remainder, net.minor - sum(floors)):
        floors[n] += 1
    return {
        place: Money.from_minor(minor, currency)
        for place, minor in zip(places, floors, strict=True)
    }


def _few(order: Sequence[int], count: int) -> Iterator[int]:
    """As many as are missing, the first in ``order`` again where they are more."""
    return (order[n % len(order)] for n in range(count))


def _line(one: Priced, net: Money) -> Line:
    """The line of this net, at a price of one that gives it."""
    per = PRICE_IS_PER.get(one.unit, 1)
    price = (net.amount * per / one.quantity).quantize(FINEST_PRICE)
    line = Line.priced(
        code=one.code,
        text=one.text,
        quantity=one.quantity,
        unit=one.unit,
        unit_price=price,
        tax_percent=one.tax_percent,
        tax_category=one.tax_category,
        currency=net.currency,
    )
    if line.net != net:
        raise NoSuchPrice(one.gross, ())
    return line
