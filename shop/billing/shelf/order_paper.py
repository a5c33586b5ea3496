"""An order on paper: what one supplier is asked for at once.

An order is the lines of one supplier that were ordered on one day under one number.
What is waited for no more is not on it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.template.loader import render_to_string
from django.utils import timezone, translation

from shop import pdf
from shop.billing.models import OrderLine
from shop.billing.wording import long_date
from shop.money import Money, total
from shop.people.logos import logo_at
from shop.people.models import Shop


@dataclass(frozen=True)
class Order:
    """Its lines in the order in which they were written."""

    supplier: str
    day: date
    reference: str
    lines: tuple[OrderLine, ...]

    @property
    def first(self) -> OrderLine:
        return self.lines[0]

    @property
    def total(self) -> Money | None:
        """None where the lines are in several currencies."""
        currency = self.first.currency
        if any(line.currency != currency for line in self.lines):
            return None
        return total([line.price * line.quantity for line in self.lines], currency)


def orders_in(shop: Shop, lines: Iterable[OrderLine]) -> list[Order]:
    """The orders that these lines are of, the newest first."""
    found: dict[tuple[str, date, str], list[OrderLine]] = {}
    for line in sorted(lines, key=lambda one: one.pk):
        day = line.ordered_at.astimezone(shop.zone_at(line.ordered_at)).date()
        found.setdefault((line.supplier, day, line.reference), []).append(line)
    orders = [Order(*key, tuple(own)) for key, own in found.items()]
    return sorted(orders, key=lambda one: one.day, reverse=True)


def order_of(line: OrderLine) -> Order:
    """The order of this line: what of it is awaited, else the line alone."""
    rows = line.shop.order_lines.filter(supplier=line.supplier, awaited__gt=0)
    rows = rows.filter(reference=line.reference).select_related("item")
    orders = orders_in(line.shop, {*rows, line})
    (order,) = (one for one in orders if line in one.lines)
    return order


def order_pdf(order: Order) -> bytes:
    """The same bytes as long as its lines stand."""
    shop, stamp = order.first.shop, order.first.ordered_at
    return pdf.render(order_html(order), stamp=stamp, logo=logo_at(shop, stamp))


def order_html(order: Order) -> str:
    """In the shop's usual language."""
    shop = order.first.shop
    with (
        translation.override(shop.language_codes[0]),
        timezone.override(shop.zone_at(order.first.ordered_at)),
    ):
        return render_to_string("papers/order.html", _context(order, shop))


def _context(order: Order, shop: Shop) -> dict[str, Any]:
    stamp = order.first.ordered_at
    return {
        "order": order,
        "day": long_date(order.day),
        "rows": _rows(order.lines),
        "seller": shop,
        "has_logo": bool(logo_at(shop, stamp)),
        "paper_size": shop.paper_size,
        "stamp": stamp,
    }


def _rows(lines: Sequence[OrderLine]) -> list[dict[str, Any]]:
    return [
        {
            "quantity": line.quantity,
            "name": line.name,
            "theirs": line.their_code,
            "ours": line.item.code if line.item else "",
            "each": line.price,
            "together": line.price * line.quantity,
            "due": long_date(line.due_on) if line.due_on else "",
        }
        for line in lines
    ]
