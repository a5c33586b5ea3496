"""Parts and stock: a locked row holds what is on hand, signed moves prove it."""

from datetime import date, datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing import beyond, markup, queries
from shop.billing.models import OrderLine, PartUse, StockItem, StockMove
from shop.billing.rates.charges import charges_of
from shop.billing.rates.free import free_because
from shop.billing.services import checks
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event


@transaction.atomic
def stock_receive(
    *,
    item: StockItem,
    by: Person,
    quantity: int,
    cost: Money,
    lot: str = "",
    at: datetime | None = None,
) -> StockMove:
    """Put parts on the shelf; the newest cost is what the next ones cost."""
    checks.at_least_one(quantity)
    checks.same_currency(cost, item.currency, field="cost")
    checks.not_negative(cost, field="cost")
    move = move_stock(item, by, quantity, cost, StockMove.Why.RECEIVED, lot=lot, at=at)
    StockItem.objects.filter(pk=item.pk).update(cost_minor=cost.minor)
    item.refresh_from_db()
    return move


@transaction.atomic
def part_use(
    *,
    ticket: Ticket,
    by: Person,
    name: str,
    cost: Money,
    quantity: int = 1,
    item: StockItem | None = None,
    part_id: str = "",
    is_salvaged: bool = False,
    price: Money | None = None,
    is_in_board: bool = False,
    at: datetime | None = None,
) -> PartUse:
    """A part that went into the board, from the shelf where ``item`` is given.

    Its price is the cost with the markup, unless ``price`` says another; a
    salvaged part costs nothing and needs a price of its own. Refused beyond what was
    agreed, unless it ``is_in_board`` already.
    """
    at = at or timezone.now()
    checks.at_least_one(quantity)
    ticket = checks.ticket_locked(ticket)
    if is_salvaged:
        cost = Money.of(0, ticket.currency)
    price = _price(ticket, cost, price, is_salvaged=is_salvaged)
    if not is_in_board:
        beyond.part_or_refused(ticket, price, quantity)
    move = None
    if item is not None:
        if item.shop_id != ticket.shop_id:
            raise Refused(_("This part is not on our shelf."), field="item")
        why = StockMove.Why.USED
        move = move_stock(item, by, -quantity, cost, why, ticket=ticket, at=at)
    use = PartUse.objects.create(
        ticket=ticket,
        move=move,
        name=name,
        part_id=part_id,
        quantity=quantity,
        currency=ticket.currency,
        cost_minor=cost.minor,
        price_minor=price.minor,
        is_salvaged=is_salvaged,
        by=by,
        at=at,
    )
    _write_down(use, by)
    return use


@transaction.atomic
def part_return(*, use: PartUse, by: Person, at: datetime | None = None) -> PartUse:
    """Take a part back out of a ticket, and onto the shelf it came from."""
    at = at or timezone.now()
    ticket = checks.ticket_locked(use.ticket)
    if use.reverses_id or PartUse.objects.filter(reverses=use).exists():
        raise Refused(_("This part was taken back already."))
    move = None
    if use.move is not None:
        move = move_stock(
            use.move.item,
            by,
            use.quantity,
            use.cost,
            StockMove.Why.RETURNED,
            ticket=ticket,
            reverses=use.move,
            at=at,
        )
    back = PartUse.objects.create(
        ticket=ticket,
        move=move,
        name=use.name,
        part_id=use.part_id,
        quantity=-use.quantity,
        currency=use.currency,
        cost_minor=use.cost_minor,
        price_minor=use.price_minor,
        is_salvaged=use.is_salvaged,
        reverses=use,
        by=by,
        at=at,
    )
    _write_down(back, by)
    return back


@transaction.atomic
def part_order(
    *,
    ticket: Ticket,
    by: Person,
    supplier: str,
    name: str,
    price: Money,
    quantity: int = 1,
    due_on: date | None = None,
    at: datetime | None = None,
) -> OrderLine:
    """Order a part for a ticket: a supplier's turn begins."""
    at = at or timezone.now()
    checks.at_least_one(quantity)
    ticket = checks.ticket_locked(ticket)
    checks.same_currency(price, ticket.currency, field="price")
    checks.not_negative(price, field="price")
    order_line = OrderLine.objects.create(
        shop=ticket.shop,
        ticket=ticket,
        supplier=supplier,
        name=name,
        quantity=quantity,
        currency=ticket.currency,
        price_minor=price.minor,
        due_on=due_on,
        ordered_at=at,
    )
    records.event_record(
        Kind.PART_ORDERED,
        shop_id=ticket.shop_id,
        by_id=by.pk,
        at=at,
        ticket_id=ticket.pk,
        ids={"order_line": order_line.pk},
        codes={"due_on": str(due_on) if due_on else None},
        amounts={"price": price.minor, "quantity": quantity},
    )
    return order_line


@transaction.atomic
def part_arrive(
    *, order_line: OrderLine, by: Person, at: datetime | None = None
) -> Event:
    """The ordered part is here: the supplier's turn ends."""
    if order_line.ticket is None:
        raise Refused(_("This was not ordered for a ticket."))
    ticket = checks.ticket_locked(order_line.ticket)
    over = {line.pk: how for line, how in queries.orders_of(ticket)}
    if over.get(order_line.pk) == "arrived":
        raise Refused(_("This part has arrived already."))
    if over.get(order_line.pk):
        raise Refused(_("This part is not waited for any more."))
    return records.event_record(
        Kind.PART_ARRIVED,
        shop_id=ticket.shop_id,
        by_id=by.pk,
        at=at,
        ticket_id=ticket.pk,
        ids={"order_line": order_line.pk},
    )


def _price(
    ticket: Ticket, cost: Money, price: Money | None, *, is_salvaged: bool
) -> Money:
    checks.same_currency(cost, ticket.currency, field="cost")
    checks.not_negative(cost, field="cost")
    if price is not None:
        checks.same_currency(price, ticket.currency, field="price")
        checks.not_negative(price, field="price")
        return price
    if free_because(ticket):
        return Money.of(0, ticket.currency)
    if is_salvaged:
        raise Refused(_("A salvaged part needs a price of its own."), field="price")
    return markup.price_of(cost, charges_of(ticket).tiers())


def move_stock(
    item: StockItem,
    by: Person,
    quantity: int,
    cost: Money,
    why: StockMove.Why,
    *,
    lot: str = "",
    ticket: Ticket | None = None,
    reverses: StockMove | None = None,
    at: datetime | None = None,
) -> StockMove:
    """Move stock: the row is locked, so two takers never share one part."""
    locked = StockItem.objects.select_for_update().get(pk=item.pk)
    if locked.on_hand + quantity < 0:
        raise Refused(
            _("On the shelf: %(on_hand)s of %(name)s.")
            % {"on_hand": locked.on_hand, "name": locked.name},
            field="quantity",
        )
    locked.on_hand += quantity
    locked.save(update_fields=["on_hand"])
    return StockMove.objects.create(
        item=locked,
        quantity=quantity,
        lot=lot,
        cost_minor=cost.minor,
        why=why,
        ticket=ticket,
        reverses=reverses,
        by=by,
        at=at or timezone.now(),
    )


def _write_down(use: PartUse, by: Person) -> None:
    records.event_record(
        Kind.PART_USED,
        shop_id=use.ticket.shop_id,
        by_id=by.pk,
        at=use.at,
        ticket_id=use.ticket_id,
        ids={"part_use": use.pk},
        codes={"part_id": use.part_id, "is_salvaged": use.is_salvaged},
        amounts={
            "quantity": use.quantity,
            "cost": use.cost_minor,
            "price": use.price_minor,
        },
    )
