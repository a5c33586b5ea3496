"""Parts of the shelf: entered, changed, brought in without an order, salvaged."""

from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.models import StockItem, StockMove
from shop.billing.services import checks
from shop.billing.shelf import moves
from shop.billing.shelf_models import StockLot
from shop.money import Money, nothing
from shop.people.models import Person, Shop
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind

COLUMNS = ("code", "name", "barcode", "place", "supplier", "part_id", "reorder_at")


@transaction.atomic
def stock_item_keep(
    *, shop: Shop, item: StockItem | None = None, **columns: Any
) -> StockItem:
    """Enter a part, or change what the shop calls it; codes are used once."""
    others = shop.stock_items.exclude(pk=item.pk if item else 0)
    if others.filter(code=columns["code"]).exists():
        raise Refused(_("Another part has this code."), field="code")
    barcode = columns.get("barcode", "")
    if barcode and others.filter(barcode=barcode).exists():
        raise Refused(_("Another part has this code."), field="barcode")
    if item is None:
        item = StockItem(shop=shop, currency=shop.currency)
    for name in COLUMNS:
        setattr(item, name, columns.get(name, getattr(item, name)))
    item.save()
    return item


@transaction.atomic
def stock_harvest(
    *,
    item: StockItem,
    by: Person,
    origin: str,
    donor: str,
    price: Money,
    at: datetime | None = None,
) -> StockLot:
    """A part that was taken off a donor comes to the shelf: it costs nothing.

    ``origin`` names the taking off, so that it comes here once; ``donor`` is what the
    lot is called. Its own price is what a customer is billed.
    """
    checks.same_currency(price, item.currency, field="price")
    checks.not_negative(price, field="price")
    if StockLot.objects.filter(origin=origin).exists():
        raise Refused(_("This part is on the shelf already."))
    try:
        with transaction.atomic():
            move = moves.bring(
                moves.item_locked(item),
                by,
                1,
                nothing(item.currency),
                StockMove.Why.SALVAGED,
                of=moves.Origin(donor[:80], origin, price),
                at=at or timezone.now(),
            )
    except IntegrityError:
        raise Refused(_("This part is on the shelf already.")) from None
    records.event_record(
        Kind.PART_SHELVED,
        shop_id=item.shop_id,
        by_id=by.pk,
        at=move.at,
        ids={"item": item.pk, "move": move.pk},
        codes={"part": item.code},
        amounts={"price": price.minor},
    )
    return move.lot_made
