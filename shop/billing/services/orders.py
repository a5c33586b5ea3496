"""What becomes of an order whose part does not come."""

from datetime import date, datetime
from enum import StrEnum

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing import queries
from shop.billing.models import OrderLine
from shop.billing.services import checks
from shop.billing.services.parts import part_order
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event


class Why(StrEnum):
    """Why an order ended without its part."""

    CANCELLED = "cancelled"
    OTHER_SUPPLIER = "other_supplier"


@transaction.atomic
def order_put_off(
    *,
    order_line: OrderLine,
    by: Person,
    due_on: date,
    channel: str = "",
    at: datetime | None = None,
) -> Event:
    """The part comes later: the new date, and by what the customer was told of it.

    Without a channel nobody told the customer, and the silence goes on.
    """
    ticket, order_line = _awaited(order_line)
    at = at or timezone.now()
    if due_on < checks.shop_day(ticket.shop, at):
        raise Refused(_("This day is over."), field="due_on")
    order_line.due_on = due_on
    order_line.save(update_fields=["due_on"])
    event = _tell(Kind.ORDER_PUT_OFF, order_line, by, at, {"due_on": str(due_on)})
    if channel:
        intake.customer_told(
            ticket=ticket, by=by, channel=channel, next_contact=due_on, at=at
        )
    return event


@transaction.atomic
def order_end(
    *,
    order_line: OrderLine,
    by: Person,
    why: Why = Why.CANCELLED,
    at: datetime | None = None,
) -> Event:
    """The part is waited for no more: the supplier's turn ends."""
    _ticket, order_line = _awaited(order_line)
    codes = {"why": str(why)}
    return _tell(Kind.ORDER_ENDED, order_line, by, at or timezone.now(), codes)


@transaction.atomic
def order_elsewhere(
    *,
    order_line: OrderLine,
    by: Person,
    supplier: str,
    price: Money,
    name: str = "",
    quantity: int | None = None,
    due_on: date | None = None,
    at: datetime | None = None,
) -> OrderLine:
    """The same part from another supplier, in the place of the order that is late."""
    order_end(order_line=order_line, by=by, why=Why.OTHER_SUPPLIER, at=at)
    assert order_line.ticket is not None
    return part_order(
        ticket=order_line.ticket,
        by=by,
        supplier=supplier,
        name=name or order_line.name,
        quantity=order_line.quantity if quantity is None else quantity,
        price=price,
        due_on=due_on,
        at=at,
    )


def _awaited(order_line: OrderLine) -> tuple[Ticket, OrderLine]:
    """Ticket and line, locked; refused where its part came or is awaited no more."""
    if order_line.ticket is None:
        raise Refused(_("This was not ordered for a ticket."))
    ticket = checks.ticket_locked(order_line.ticket)
    order_line.refresh_from_db()
    if queries.is_order_over(order_line):
        raise Refused(_("This part is not waited for any more."))
    return ticket, order_line


def _tell(
    kind: Kind,
    order_line: OrderLine,
    by: Person,
    at: datetime,
    codes: dict[str, str],
) -> Event:
    return records.event_record(
        kind,
        shop_id=order_line.shop_id,
        by_id=by.pk,
        at=at,
        ticket_id=order_line.ticket_id,
        ids={"order_line": order_line.pk},
        codes=codes,
    )
