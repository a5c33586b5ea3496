"""Moving stock: the item's row is locked, and every move names the lots it is of."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.models import OrderLine, StockItem, StockMove
from shop.billing.shelf import fifo
from shop.billing.shelf_models import LotDraw, StockLot
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person
from shop.records.errors import Refused

Why = StockMove.Why


@dataclass(frozen=True)
class Taken:
    """Pieces with one cost and one price; without a move they never were here."""

    move: StockMove | None
    quantity: int
    cost: Money
    price: Money | None
    is_salvaged: bool


@dataclass(frozen=True)
class Origin:
    """What a new lot says of itself; ``price`` is that of a salvaged part."""

    name: str = ""
    mark: str = ""
    price: Money | None = None
    order_line: OrderLine | None = None

    @property
    def is_salvaged(self) -> bool:
        return self.price is not None


def item_locked(item: StockItem) -> StockItem:
    """The item's row, locked: two takers never share one piece."""
    return StockItem.objects.select_for_update().get(pk=item.pk)


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
    """Move stock in (at ``cost``) or out (at what the oldest lots cost).

    A move that ``reverses`` another puts back, or takes, what that one moved.
    """
    locked = item_locked(item)
    if reverses is not None:
        return _back(locked, by, reverses, why, ticket=ticket, at=at)
    if quantity > 0:
        return bring(locked, by, quantity, cost, why, of=Origin(lot), at=at)
    draws = drawn(locked, -quantity)
    return _out(locked, by, draws, why, ticket=ticket, at=at)


def bring(
    locked: StockItem,
    by: Person,
    quantity: int,
    cost: Money,
    why: StockMove.Why,
    *,
    of: Origin | None = None,
    ticket: Ticket | None = None,
    at: datetime | None = None,
) -> StockMove:
    """A new lot, and the move that brought it."""
    of = of or Origin()
    move = _kept(locked, by, quantity, cost.minor, why, ticket=ticket, at=at, of=of)
    lot = StockLot.objects.create(
        item=locked,
        came_by=move,
        name=of.name,
        origin=of.mark,
        is_salvaged=of.is_salvaged,
        cost_minor=cost.minor,
        price_minor=of.price.minor if of.price else (0 if of.is_salvaged else None),
        quantity=quantity,
        left=quantity,
    )
    LotDraw.objects.create(move=move, lot=lot, quantity=quantity)
    return move


def stock_take(
    *,
    item: StockItem,
    by: Person,
    quantity: int,
    why: StockMove.Why = Why.USED,
    ticket: Ticket | None = None,
    at: datetime | None = None,
) -> list[Taken]:
    """Take pieces off the oldest lots: one move for each cost and price.

    Within a transaction. Raises ``Refused`` where the shelf holds less.
    """
    locked = item_locked(item)
    draws = drawn(locked, quantity)
    lots = {lot.pk: lot for lot in _rows(draws)}

    def terms(draw: fifo.Draw) -> tuple[int, int | None, bool]:
        lot = lots[draw.lot.id]
        return lot.cost_minor, lot.price_minor, lot.is_salvaged

    return [
        _taken(_out(locked, by, alike, why, ticket=ticket, at=at), lots, alike)
        for alike in (list(group) for _terms, group in groupby(draws, terms))
    ]


def _taken(
    move: StockMove, lots: dict[int, StockLot], draws: Sequence[fifo.Draw]
) -> Taken:
    lot = lots[draws[0].lot.id]
    return Taken(move, -move.quantity, lot.cost, lot.price, lot.is_salvaged)


def send_back(
    *, lot: StockLot, by: Person, quantity: int, at: datetime | None = None
) -> StockMove:
    """Pieces of one lot go back to where it came from."""
    locked = item_locked(lot.item)
    lot.refresh_from_db()
    if quantity > lot.left:
        raise Refused(
            _("Left of this lot: %(left)s.") % {"left": lot.left}, field="quantity"
        )
    draws = [fifo.Draw(fifo.Lot(lot.pk, lot.left, lot.cost_minor), quantity)]
    return _out(locked, by, draws, Why.SENT_BACK, at=at)


def put_back(
    locked: StockItem,
    by: Person,
    draws: Sequence[fifo.Draw],
    *,
    at: datetime | None = None,
) -> StockMove:
    """Pieces come back to the lots they were of; within a transaction."""
    quantity = sum(draw.quantity for draw in draws)
    each = fifo.each(draws)
    move = _kept(locked, by, quantity, each, Why.RETURNED, ticket=None, at=at)
    _draw(move, {draw.lot.id: draw.quantity for draw in draws})
    return move


def drawn(locked: StockItem, quantity: int) -> tuple[fifo.Draw, ...]:
    """What of which lots a taking of ``quantity`` draws now."""
    lots = locked.lots.filter(left__gt=0).order_by("id")
    rows = lots.values_list("pk", "left", "cost_minor").iterator(chunk_size=50)
    try:
        return fifo.take((fifo.Lot(*row) for row in rows), quantity)
    except fifo.NotEnough:
        raise Refused(
            _("On the shelf: %(on_hand)s of %(name)s.")
            % {"on_hand": locked.on_hand, "name": locked.name},
            field="quantity",
        ) from None


def _rows(draws: Iterable[fifo.Draw]) -> list[StockLot]:
    ids = [draw.lot.id for draw in draws]
    return list(StockLot.objects.filter(pk__in=ids).select_related("item"))


def _out(
    locked: StockItem,
    by: Person,
    draws: Sequence[fifo.Draw],
    why: StockMove.Why,
    *,
    ticket: Ticket | None = None,
    at: datetime | None = None,
) -> StockMove:
    quantity = sum(draw.quantity for draw in draws)
    each = fifo.each(draws)
    move = _kept(locked, by, -quantity, each, why, ticket=ticket, at=at)
    _draw(move, {draw.lot.id: -draw.quantity for draw in draws})
    return move


def _back(
    locked: StockItem,
    by: Person,
    reversed_: StockMove,
    why: StockMove.Why,
    *,
    ticket: Ticket | None,
    at: datetime | None,
) -> StockMove:
    """What the other move drew goes back; what it brought goes out again."""
    draws = {draw.lot_id: -draw.quantity for draw in reversed_.draws.all()}
    quantity = sum(draws.values())
    if locked.on_hand + quantity < 0:
        raise Refused(_("Some of it was used already."), field="quantity")
    move = _kept(
        locked,
        by,
        quantity,
        reversed_.cost_minor,
        why,
        ticket=ticket,
        at=at,
        reverses=reversed_,
    )
    _draw(move, draws)
    return move


def _draw(move: StockMove, draws: dict[int, int]) -> None:
    """Change what is left of each lot; the item's lock is held."""
    lots = StockLot.objects.in_bulk(draws)
    for pk, quantity in draws.items():
        lots[pk].left += quantity
        lots[pk].save(update_fields=["left"])
    LotDraw.objects.bulk_create(
        LotDraw(move=move, lot_id=pk, quantity=quantity)
        for pk, quantity in draws.items()
    )


def _kept(
    locked: StockItem,
    by: Person,
    quantity: int,
    cost_minor: int,
    why: StockMove.Why,
    *,
    ticket: Ticket | None,
    at: datetime | None,
    of: Origin | None = None,
    reverses: StockMove | None = None,
) -> StockMove:
    locked.on_hand += quantity
    locked.save(update_fields=["on_hand"])
    return StockMove.objects.create(
        item=locked,
        quantity=quantity,
        lot=of.name[:40] if of else "",
        cost_minor=cost_minor,
        why=why,
        ticket=ticket,
        reverses=reverses,
        order_line=of.order_line if of else None,
        by=by,
        at=at or timezone.now(),
    )
