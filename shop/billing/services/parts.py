"""Parts and stock: a locked row holds what is on hand, signed moves prove it."""

from dataclasses import replace
from datetime import date, datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing import beyond, markup
from shop.billing.models import OrderLine, PartUse, StockItem, StockMove
from shop.billing.rates.charges import charges_of
from shop.billing.rates.free import free_because
from shop.billing.services import checks
from shop.billing.shelf import claims, ordering, receiving, reserving
from shop.billing.shelf.moves import Taken, item_locked, move_stock, stock_take
from shop.billing.shelf_models import Claim
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

    Off the shelf it costs what its oldest lots do: where they differ there is a row
    for each, and the first is given back. Its price is the cost with the markup,
    unless ``price`` says another; a salvaged part costs nothing and has a price of
    its own. What is kept for another ticket is refused; so is what lies beyond what
    was agreed, unless it ``is_in_board`` already.
    """
    at = at or timezone.now()
    checks.at_least_one(quantity)
    ticket = checks.ticket_locked(ticket)
    if item is None:
        cost = Money.of(0, ticket.currency) if is_salvaged else cost
        taken = [Taken(None, quantity, cost, None, is_salvaged)]
    else:
        taken = _off_the_shelf(item, ticket, by, quantity, at)
    uses = []
    for one in taken:
        priced = _priced(ticket, one, price)
        if not is_in_board and priced.price is not None:
            beyond.part_or_refused(ticket, priced.price, priced.quantity)
        uses.append(_used(ticket, by, priced, at, name=name, part_id=part_id))
    return uses[0]


def _off_the_shelf(
    item: StockItem, ticket: Ticket, by: Person, quantity: int, at: datetime
) -> list[Taken]:
    """What is kept for this ticket, or free, off the oldest lots."""
    if item.shop_id != ticket.shop_id:
        raise Refused(_("This part is not on our shelf."), field="item")
    locked = item_locked(item)
    reserving.refuse_beyond_free(locked, quantity, at, but_for=ticket)
    reserving.consume(locked, ticket, by, quantity, at)
    return stock_take(item=locked, by=by, quantity=quantity, ticket=ticket, at=at)


def _priced(ticket: Ticket, taken: Taken, price: Money | None) -> Taken:
    asked = _price(
        ticket, taken.cost, price, own=taken.price, is_salvaged=taken.is_salvaged
    )
    return replace(taken, price=asked)


def _used(
    ticket: Ticket,
    by: Person,
    taken: Taken,
    at: datetime,
    *,
    name: str,
    part_id: str,
) -> PartUse:
    assert taken.price is not None
    use = PartUse.objects.create(
        ticket=ticket,
        move=taken.move,
        name=name,
        part_id=part_id,
        quantity=taken.quantity,
        currency=ticket.currency,
        cost_minor=taken.cost.minor,
        price_minor=taken.price.minor,
        is_salvaged=taken.is_salvaged,
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
def claim_of_use(
    *,
    use: PartUse,
    by: Person,
    kind: str,
    quantity: int,
    supplier: str = "",
    again_by: date | None = None,
    is_replaced: bool = False,
    at: datetime | None = None,
) -> Claim:
    """A part proved dead in the board: out of the ticket, off the shelf, and back.

    Of several pieces only one lot's are claimed at once; the others lie on the shelf.
    """
    ticket = checks.ticket_locked(use.ticket)
    back = part_return(use=use, by=by, at=at)
    if back.move is None:
        raise Refused(_("It did not come from our shelf."))
    draw = back.move.draws.select_related("lot__item__shop").latest("id")
    return claims.claim_from_shelf(
        lot=draw.lot,
        by=by,
        kind=kind,
        quantity=quantity,
        supplier=supplier,
        again_by=again_by,
        is_replaced=is_replaced,
        ticket=ticket,
        at=at,
    )


@transaction.atomic
def part_order(
    *,
    ticket: Ticket,
    by: Person,
    supplier: str,
    name: str,
    price: Money,
    quantity: int = 1,
    item: StockItem | None = None,
    due_on: date | None = None,
    reference: str = "",
    their_code: str = "",
    at: datetime | None = None,
) -> OrderLine:
    """Order a part for a ticket: a supplier's turn begins."""
    ticket = checks.ticket_locked(ticket)
    return ordering.line_make(
        shop=ticket.shop,
        by=by,
        ticket=ticket,
        item=item,
        supplier=supplier,
        name=name,
        quantity=quantity,
        price=price,
        due_on=due_on,
        reference=reference,
        their_code=their_code,
        at=at or timezone.now(),
    )


@transaction.atomic
def part_arrive(
    *, order_line: OrderLine, by: Person, at: datetime | None = None
) -> Event:
    """All that was ordered for a ticket is here: the supplier's turn ends."""
    if order_line.ticket is None:
        raise Refused(_("This was not ordered for a ticket."))
    return receiving.order_receive(order_line=order_line, by=by, at=at).event


def _price(
    ticket: Ticket,
    cost: Money,
    price: Money | None,
    *,
    own: Money | None = None,
    is_salvaged: bool,
) -> Money:
    checks.same_currency(cost, ticket.currency, field="cost")
    checks.not_negative(cost, field="cost")
    if price is not None:
        checks.same_currency(price, ticket.currency, field="price")
        checks.not_negative(price, field="price")
        return price
    if free_because(ticket):
        return Money.of(0, ticket.currency)
    if own is not None:
        return own
    if is_salvaged:
        raise Refused(_("A salvaged part needs a price of its own."), field="price")
    return markup.price_of(cost, charges_of(ticket).tiers())


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
