"""What becomes of an order whose part does not come."""

from datetime import date, datetime
from enum import StrEnum

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.models import OrderLine
from shop.billing.services import checks
from shop.billing.shelf import ordering
from shop.intake import services as intake
from shop.money import Money
from shop.people.models import Person
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
    at = at or timezone.now()
    line = _awaited(order_line)
    if due_on < checks.shop_day(line.shop, at):
        raise Refused(_("This day is over."), field="due_on")
    line.due_on = due_on
    line.save(update_fields=["due_on"])
    codes = {"due_on": str(due_on)}
    event = ordering.tell(Kind.ORDER_PUT_OFF, line, by, at, codes)
    if channel and line.ticket is not None:
        intake.customer_told(
            ticket=line.ticket, by=by, channel=channel, next_contact=due_on, at=at
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
    line = _awaited(order_line)
    return ordering.give_up(line, by, at or timezone.now(), why=why)


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
    reference: str = "",
    their_code: str = "",
    at: datetime | None = None,
) -> OrderLine:
    """The same part from another supplier, in the place of the order that is late."""
    line = _awaited(order_line)
    left = line.awaited
    at = at or timezone.now()
    ordering.give_up(line, by, at, why=Why.OTHER_SUPPLIER)
    return ordering.line_make(
        shop=line.shop,
        by=by,
        ticket=line.ticket,
        item=line.item,
        supplier=supplier,
        name=name or line.name,
        quantity=left if quantity is None else quantity,
        price=price,
        due_on=due_on,
        reference=reference,
        their_code=their_code,
        at=at,
    )


def _awaited(order_line: OrderLine) -> OrderLine:
    """The line, locked; refused where its part came or is awaited no more."""
    line = ordering.line_locked(order_line)
    ordering.refuse_over(line)
    return line
