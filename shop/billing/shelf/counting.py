"""A stock count: what lies there, entered without seeing what should."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.models import StockItem, StockMove
from shop.billing.shelf import moves
from shop.billing.shelf_models import StockCount
from shop.people.models import Person
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind


@transaction.atomic
def stock_count(
    *,
    item: StockItem,
    by: Person,
    counted: int,
    expected: int,
    reason: str = "",
    at: datetime | None = None,
) -> StockCount:
    """What was counted, and one signed move of the difference with its reason.

    ``expected`` is what should have been there when it was counted; where it moved
    since, nobody knows which is right, and it is counted again. What is found costs
    what the part cost last; what is missing goes off the oldest lots.
    """
    at = at or timezone.now()
    if counted < 0:
        raise Refused(_("This cannot be below zero."), field="counted")
    locked = moves.item_locked(item)
    if locked.on_hand != expected:
        raise Refused(
            _("%(name)s was moved meanwhile: count it again.") % {"name": locked.name},
            field="counted",
        )
    difference = counted - expected
    if difference and not reason:
        raise Refused(_("Say why."), field="reason")
    move = None
    if difference:
        why = StockMove.Why.COUNTED
        move = moves.move_stock(locked, by, difference, locked.cost, why, at=at)
    count = StockCount.objects.create(
        item=locked,
        expected=expected,
        counted=counted,
        reason=reason if difference else "",
        move=move,
        by=by,
        at=at,
    )
    if difference:
        records.event_record(
            Kind.STOCK_COUNTED,
            shop_id=item.shop_id,
            by_id=by.pk,
            at=at,
            ids={"item": item.pk, "count": count.pk},
            codes={"part": item.code, "reason": reason},
            amounts={"quantity": difference},
        )
    return count
