"""Keeping parts for a ticket: for a time, until used or not wanted any more."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.models import StockItem, StockMove
from shop.billing.services import checks
from shop.billing.shelf.kept import kept_count, standing
from shop.billing.shelf.moves import item_locked
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind

# How long a part is kept: while a quote is open, and once it is agreed or came (jd).
WHILE_ASKED, ONCE_AGREED = timedelta(days=14), timedelta(days=60)


@transaction.atomic
def stock_reserve(
    *,
    item: StockItem,
    ticket: Ticket,
    by: Person,
    quantity: int = 1,
    lasting: timedelta = WHILE_ASKED,
    at: datetime | None = None,
) -> StockMove:
    """Keep pieces of the shelf for a ticket."""
    at = at or timezone.now()
    checks.at_least_one(quantity)
    ticket = checks.ticket_locked(ticket)
    if item.shop_id != ticket.shop_id:
        raise Refused(_("This part is not on our shelf."), field="item")
    if hasattr(ticket, "handover"):
        raise Refused(_("This ticket is closed."), field="ticket")
    refuse_beyond_free(item_locked(item), quantity, at)
    move = keep(item, ticket, by, quantity, at, lasting=lasting)
    _tell(Kind.PART_RESERVED, move, by, at)
    return move


def keep(
    item: StockItem,
    ticket: Ticket,
    by: Person,
    quantity: int,
    at: datetime,
    *,
    lasting: timedelta = ONCE_AGREED,
) -> StockMove:
    """The move that keeps pieces; what comes for a ticket is kept without asking."""
    return reserved(item, ticket, by, -quantity, at, expires_at=at + lasting)


def refuse_beyond_free(
    locked: StockItem, quantity: int, now: datetime, *, but_for: Ticket | None = None
) -> None:
    """What is kept for another ticket is not free."""
    kept = kept_count(locked, now, but_for=but_for)
    if quantity <= locked.on_hand - kept or not kept:
        return
    rows = standing(now).filter(item=locked).exclude(ticket=but_for)
    numbers = sorted({str(move.ticket) for move in rows.select_related("ticket")})
    raise Refused(
        _("On the shelf: %(on_hand)s, of which %(kept)s kept for %(tickets)s.")
        % {"on_hand": locked.on_hand, "kept": kept, "tickets": ", ".join(numbers)},
        field="quantity",
    )


@transaction.atomic
def reservation_release(
    *, move: StockMove, by: Person, at: datetime | None = None
) -> None:
    """What was kept is free again."""
    at = at or timezone.now()
    item_locked(move.item)
    if not standing(at).filter(pk=move.pk).exists():
        raise Refused(_("This is not kept for a ticket any more."))
    given_back([move], by, at)
    _tell(Kind.PART_RELEASED, move, by, at)


def consume(
    item: StockItem, ticket: Ticket, by: Person, quantity: int, at: datetime
) -> None:
    """What is used was kept no more; what is left of it is kept as long as before."""
    missing = quantity
    for move in standing(at).filter(item=item, ticket=ticket).order_by("id"):
        if not missing:
            break
        rest = max(-move.quantity - missing, 0)
        missing -= -move.quantity - rest
        given_back([move], by, at)
        if rest:
            reserved(item, ticket, by, -rest, at, expires_at=move.expires_at)


def given_back(moves: Iterable[StockMove], by: Person, at: datetime) -> None:
    for move in moves:
        reserved(move.item, move.ticket, by, -move.quantity, at, reverses=move)


def reserved(
    item: StockItem,
    ticket: Ticket | None,
    by: Person,
    quantity: int,
    at: datetime,
    *,
    expires_at: datetime | None = None,
    reverses: StockMove | None = None,
) -> StockMove:
    return StockMove.objects.create(
        item=item,
        ticket=ticket,
        quantity=quantity,
        why=StockMove.Why.RESERVED,
        expires_at=expires_at,
        reverses=reverses,
        by=by,
        at=at,
    )


def _tell(kind: Kind, move: StockMove, by: Person, at: datetime) -> None:
    records.event_record(
        kind,
        shop_id=move.item.shop_id,
        by_id=by.pk,
        at=at,
        ticket_id=move.ticket_id,
        ids={"move": move.pk, "item": move.item_id},
        codes={"part": move.item.code},
        amounts={"quantity": abs(move.quantity)},
    )
