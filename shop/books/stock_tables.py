"""Tables of the shelf: what moved, of which lots, and what lay there at the end."""

from collections.abc import Iterator

from django.db.models import Q, Sum
from django.utils.translation import gettext as _

from shop.billing.models import StockMove
from shop.billing.shelf_models import LotDraw, StockLot
from shop.books.dated import PIECE, mark_of
from shop.books.periods import Period
from shop.books.tables import Cells, amount, moment


def stock_moves(period: Period) -> Iterator[Cells]:
    yield (
        _("mark"),
        _("at"),
        _("code"),
        _("part"),
        _("why"),
        _("quantity"),
        _("cost each"),
        _("lot"),
        _("ticket"),
        _("currency"),
    )
    rows = StockMove.objects.filter(
        item__shop=period.shop, at__gte=period.start, at__lt=period.end
    ).select_related("item", "ticket")
    for row in rows.order_by("at", "pk").iterator(PIECE):
        yield (
            mark_of("S", row.pk),
            moment(row.at, period),
            row.item.code,
            row.item.name,
            row.get_why_display(),
            row.quantity,
            amount(row.cost_minor, row.item.currency),
            row.lot,
            row.ticket.number if row.ticket else "",
            row.item.currency,
        )


def stock_draws(period: Period) -> Iterator[Cells]:
    """Of which lots each move was; first in, first out."""
    yield _("move"), _("lot"), _("quantity"), _("cost each"), _("currency")
    rows = LotDraw.objects.filter(
        lot__item__shop=period.shop,
        move__at__gte=period.start,
        move__at__lt=period.end,
    ).select_related("lot__item")
    for row in rows.order_by("move__at", "move", "pk").iterator(PIECE):
        yield (
            mark_of("S", row.move_id),
            mark_of("L", row.lot_id),
            row.quantity,
            amount(row.lot.cost_minor, row.lot.currency),
            row.lot.currency,
        )


def stock_value(period: Period) -> Iterator[Cells]:
    """The lots of which something lay on the shelf at the end of the period."""
    yield (
        _("lot"),
        _("name"),
        _("code"),
        _("part"),
        _("salvaged"),
        _("on hand"),
        _("cost each"),
        _("value"),
        _("currency"),
    )
    so_far = Q(draws__move__at__lt=period.end)
    rows = (
        StockLot.objects.filter(item__shop=period.shop)
        .annotate(pieces=Sum("draws__quantity", filter=so_far))
        .filter(pieces__gt=0)
        .select_related("item")
    )
    for row in rows.order_by("item__code", "pk"):
        yield (
            mark_of("L", row.pk),
            row.name,
            row.item.code,
            row.item.name,
            _("yes") if row.is_salvaged else _("no"),
            row.pieces,
            amount(row.cost_minor, row.currency),
            amount(row.pieces * row.cost_minor, row.currency),
            row.currency,
        )
