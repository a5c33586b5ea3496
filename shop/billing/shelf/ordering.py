"""Order lines: made, locked, given up. For a ticket each is a supplier's turn."""

from datetime import date, datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.models import OrderLine, StockItem, StockMove
from shop.billing.services import checks
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person, Shop
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event


@transaction.atomic
def stock_order(
    *,
    item: StockItem,
    by: Person,
    supplier: str,
    price: Money,
    quantity: int = 1,
    ticket: Ticket | None = None,
    due_on: date | None = None,
    reference: str = "",
    their_code: str = "",
    at: datetime | None = None,
) -> OrderLine:
    """Order a part of the shelf, for the shelf or for a ticket."""
    if ticket is not None:
        ticket = checks.ticket_locked(ticket)
    return line_make(
        shop=item.shop,
        by=by,
        ticket=ticket,
        item=item,
        supplier=supplier,
        name=item.name,
        quantity=quantity,
        price=price,
        due_on=due_on,
        reference=reference,
        their_code=their_code,
        at=at or timezone.now(),
    )


def line_make(
    *,
    shop: Shop,
    by: Person,
    ticket: Ticket | None,
    item: StockItem | None,
    supplier: str,
    name: str,
    quantity: int,
    price: Money,
    due_on: date | None,
    reference: str,
    their_code: str = "",
    at: datetime,
) -> OrderLine:
    """An order line and its event; the ticket, if any, is locked.

    The supplier's number of the part stays as it was last time where none is given.
    """
    checks.at_least_one(quantity)
    currency = ticket.currency if ticket else shop.currency
    checks.same_currency(price, currency, field="price")
    checks.not_negative(price, field="price")
    order_line = OrderLine.objects.create(
        shop=shop,
        ticket=ticket,
        item=item,
        supplier=supplier,
        name=name,
        reference=reference,
        their_code=their_code or code_last_time(item, supplier),
        quantity=quantity,
        awaited=quantity,
        currency=currency,
        price_minor=price.minor,
        due_on=due_on,
        ordered_at=at,
    )
    records.event_record(
        Kind.PART_ORDERED,
        shop_id=shop.pk,
        by_id=by.pk,
        at=at,
        ticket_id=ticket.pk if ticket else None,
        ids={"order_line": order_line.pk},
        codes={"due_on": str(due_on) if due_on else None},
        amounts={"price": price.minor, "quantity": quantity},
    )
    return order_line


def code_last_time(item: StockItem | None, supplier: str) -> str:
    """What this supplier called the part when it was last ordered there."""
    if item is None:
        return ""
    lines = item.order_lines.filter(supplier__iexact=supplier).exclude(their_code="")
    return lines.order_by("id").values_list("their_code", flat=True).last() or ""


def line_locked(order_line: OrderLine) -> OrderLine:
    """The line's row, locked after its ticket's."""
    if order_line.ticket is not None:
        checks.ticket_locked(order_line.ticket)
    lines = OrderLine.objects.select_for_update(of=("self",))
    return lines.select_related("ticket", "item", "shop").get(pk=order_line.pk)


def refuse_over(line: OrderLine) -> None:
    """What came already, or was given up, is not waited for."""
    if line.awaited:
        return
    if line.moves.filter(why=StockMove.Why.RECEIVED).exists():
        raise Refused(_("This part has arrived already."))
    raise Refused(_("This part is not waited for any more."))


def refuse_beyond_awaited(line: OrderLine, quantity: int) -> None:
    refuse_over(line)
    checks.at_least_one(quantity)
    if quantity > line.awaited:
        raise Refused(
            _("Ordered: %(ordered)s. Still awaited: %(awaited)s.")
            % {"ordered": line.quantity, "awaited": line.awaited},
            field="quantity",
        )


def give_up(line: OrderLine, by: Person, at: datetime, *, why: str) -> Event:
    """It is waited for no more; what came of it stays."""
    line.awaited = 0
    line.save(update_fields=["awaited"])
    return tell(Kind.ORDER_ENDED, line, by, at, {"why": why})


def tell(
    kind: Kind, line: OrderLine, by: Person, at: datetime, codes: dict[str, str]
) -> Event:
    return records.event_record(
        kind,
        shop_id=line.shop_id,
        by_id=by.pk,
        at=at,
        ticket_id=line.ticket_id,
        ids={"order_line": line.pk},
        codes=codes,
    )
