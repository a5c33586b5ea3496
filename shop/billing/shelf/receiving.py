"""What was ordered comes: onto the shelf, and kept for its ticket."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from shop.billing.models import OrderLine, StockItem, StockMove
from shop.billing.services import checks
from shop.billing.shelf import claims, moves, ordering, reserving
from shop.intake.models import Place
from shop.money import Money
from shop.people.models import Person
from shop.records import services as records
from shop.records.kinds import Kind
from shop.records.models import Event


@dataclass(frozen=True)
class Received:
    """What came: the move, and what was written down of it."""

    order_line: OrderLine
    item: StockItem
    move: StockMove
    event: Event


@transaction.atomic
def order_receive(
    *,
    order_line: OrderLine,
    by: Person,
    quantity: int | None = None,
    place: Place | None = None,
    cost: Money | None = None,
    at: datetime | None = None,
) -> Received:
    """Put what came on the shelf; with the last of it the supplier's turn ends.

    Without a ``quantity`` all that is awaited. What was never on the shelf gets its
    own entry there. More than is awaited is refused.
    """
    at = at or timezone.now()
    line = ordering.line_locked(order_line)
    quantity = line.awaited if quantity is None else quantity
    ordering.refuse_beyond_awaited(line, quantity)
    cost = line.price if cost is None else cost
    checks.same_currency(cost, line.currency, field="cost")
    checks.not_negative(cost, field="cost")
    item = _item_of(line, cost)
    move = moves.bring(
        moves.item_locked(item),
        by,
        quantity,
        cost,
        StockMove.Why.RECEIVED,
        of=moves.Origin(line.reference, order_line=line),
        ticket=line.ticket,
        at=at,
    )
    item.refresh_from_db()
    item.cost_minor = cost.minor
    item.place = place or item.place
    item.supplier = item.supplier or line.supplier
    item.save(update_fields=["cost_minor", "place", "supplier"])
    line.awaited -= quantity
    line.item = item
    line.save(update_fields=["awaited", "item"])
    return Received(line, item, move, _come(line, item, move, by, at))


def _come(
    line: OrderLine, item: StockItem, move: StockMove, by: Person, at: datetime
) -> Event:
    is_whole = line.ticket is not None and not line.awaited
    event = records.event_record(
        Kind.PART_ARRIVED if is_whole else Kind.STOCK_RECEIVED,
        shop_id=line.shop_id,
        by_id=by.pk,
        at=at,
        ticket_id=line.ticket_id,
        ids={"order_line": line.pk, "item": item.pk, "move": move.pk},
        amounts={"quantity": move.quantity},
    )
    if not line.awaited:
        claims.replaced_by(line, by, at)
    if line.ticket is not None and not hasattr(line.ticket, "handover"):
        reserving.keep(item, line.ticket, by, move.quantity, at)
    return event


def _item_of(line: OrderLine, cost: Money) -> StockItem:
    """What the line is on the shelf: named by it, of the same name, or new there."""
    if line.item is not None:
        return line.item
    same = line.shop.stock_items.filter(name=line.name, currency=line.currency)
    return same.order_by("id").first() or StockItem.objects.create(
        shop=line.shop,
        code=f"B-{line.pk}",
        name=line.name,
        currency=line.currency,
        cost_minor=cost.minor,
        supplier=line.supplier,
    )
