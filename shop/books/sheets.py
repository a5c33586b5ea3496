"""The sheet of a day end, to be printed and put away with the receipts."""

from typing import Any

from django.template.loader import render_to_string
from django.utils import timezone, translation

from shop import pdf
from shop.billing.models import Payment
from shop.books import till
from shop.books.models import CashDay
from shop.money import Money


def day_sheet(day: CashDay) -> bytes:
    """The same bytes as long as the rows stand, in the shop's language."""
    return pdf.render(day_sheet_html(day), stamp=day.at)


def day_sheet_html(day: CashDay) -> str:
    with (
        translation.override(day.shop.language_codes[0]),
        timezone.override(day.shop.zone),
    ):
        return render_to_string("papers/cash_day.html", _context(day))


def _context(day: CashDay) -> dict[str, Any]:
    state = till.of_day(day)
    names = dict(Payment.Method.choices)
    pieces = [
        (Money.from_minor(int(piece), day.currency), count)
        for piece, count in day.pieces.items()
    ]
    return {
        "stamp": day.at,
        "day": day,
        "shop": day.shop,
        "till": state,
        "paper_size": day.shop.paper_size,
        "pieces": [(piece, count, piece * count) for piece, count in pieces],
        "others": [
            (str(names.get(how, how)), total)
            for how, total in state.by_method.items()
            if how != Payment.Method.CASH
        ],
    }
