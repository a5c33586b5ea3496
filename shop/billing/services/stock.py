"""Many parts at once: what stood on the shelf when the shop began here."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.models import StockItem, StockMove
from shop.billing.services import checks
from shop.billing.shelf.moves import move_stock
from shop.billing.shelf_models import LotDraw, StockLot
from shop.money import Money
from shop.people.models import Person, Shop
from shop.records.errors import Refused

LONGEST_CODE = 40
LONGEST_NAME = 120
MOST_PIECES = 1_000_000
BATCH = 500


@dataclass(frozen=True)
class StockDraft:
    """A part as it is counted on the first day."""

    code: str
    name: str
    quantity: int
    cost: Money

    def check(self, currency: str) -> None:
        """Refuse what the shelf can't hold."""
        if not 1 <= len(self.code) <= LONGEST_CODE:
            raise Refused(_("A code of 1 to 40 characters."), field="code")
        if not 1 <= len(self.name) <= LONGEST_NAME:
            raise Refused(_("A name of 1 to 120 characters."), field="name")
        if not 0 <= self.quantity <= MOST_PIECES:
            raise Refused(_("A whole number, not below zero."), field="quantity")
        checks.same_currency(self.cost, currency, field="cost")
        checks.not_negative(self.cost, field="cost")


@transaction.atomic
def stock_begin(
    *, shop: Shop, by: Person, drafts: Sequence[StockDraft], at: datetime | None = None
) -> list[StockItem]:
    """New parts, each with the move that proves what is on hand.

    A part of this code that was taken back (``stock_take_back``) begins anew.
    """
    at = at or timezone.now()
    for draft in drafts:
        draft.check(shop.currency)
    codes = [draft.code for draft in drafts]
    known = {i.code: i for i in StockItem.objects.filter(shop=shop, code__in=codes)}
    made = StockItem.objects.bulk_create(
        (_item(shop, draft) for draft in drafts if draft.code not in known),
        batch_size=BATCH,
    )
    items = known | {item.code: item for item in made}
    fresh = [d for d in drafts if d.code not in known and d.quantity]
    moves = StockMove.objects.bulk_create(
        (
            StockMove(
                item=items[d.code],
                quantity=d.quantity,
                cost_minor=d.cost.minor,
                why=StockMove.Why.COUNTED,
                by=by,
                at=at,
            )
            for d in fresh
        ),
        batch_size=BATCH,
    )
    _lots(moves)
    for draft in (d for d in drafts if d.code in known):
        _again(known[draft.code], draft, by, at)
    return [items[code] for code in codes]


def _lots(moves: Sequence[StockMove]) -> None:
    """The lot that each of these moves brought."""
    lots = StockLot.objects.bulk_create(
        (
            StockLot(
                item=move.item,
                came_by=move,
                cost_minor=move.cost_minor,
                quantity=move.quantity,
                left=move.quantity,
            )
            for move in moves
        ),
        batch_size=BATCH,
    )
    LotDraw.objects.bulk_create(
        (LotDraw(move=lot.came_by, lot=lot, quantity=lot.quantity) for lot in lots),
        batch_size=BATCH,
    )


def _item(shop: Shop, draft: StockDraft) -> StockItem:
    return StockItem(
        shop=shop,
        code=draft.code,
        name=draft.name,
        cost_minor=draft.cost.minor,
        currency=shop.currency,
        on_hand=draft.quantity,
    )


def _again(item: StockItem, draft: StockDraft, by: Person, at: datetime) -> None:
    if item.on_hand:
        raise Refused(_("This code is on the shelf already."), field="code")
    item.name, item.cost_minor = draft.name, draft.cost.minor
    item.save(update_fields=["name", "cost_minor"])
    if draft.quantity:
        why = StockMove.Why.COUNTED
        move_stock(item, by, draft.quantity, draft.cost, why, at=at)


@transaction.atomic
def stock_take_back(*, items: Sequence[int], by: Person) -> set[int]:
    """Undo ``stock_begin`` for those that were not moved since; which were undone.

    Moves are never deleted: a second one takes the parts off the shelf again. Call
    it for some hundred items at a time.
    """
    rows = StockItem.objects.select_for_update().filter(pk__in=items)
    last = {move.item_id: move for move in StockMove.objects.filter(item__in=rows)}
    undone = [i for i in rows if i.pk not in last or _is_counted(last[i.pk], i)]
    taken_out = StockMove.objects.bulk_create(
        (
            StockMove(
                item=item,
                quantity=-last[item.pk].quantity,
                cost_minor=last[item.pk].cost_minor,
                why=StockMove.Why.COUNTED,
                reverses=last[item.pk],
                by=by,
            )
            for item in undone
            if item.pk in last
        ),
        batch_size=BATCH,
    )
    _empty(taken_out)
    gone = {item.pk for item in undone}
    StockItem.objects.filter(pk__in=gone).update(on_hand=0)
    return gone


def _empty(taken_out: Sequence[StockMove]) -> None:
    """Nothing is left of the lots that these moves take away again."""
    by_origin = {move.reverses_id: move for move in taken_out}
    lots = list(StockLot.objects.filter(came_by__in=by_origin))
    LotDraw.objects.bulk_create(
        (
            LotDraw(move=by_origin[lot.came_by_id], lot=lot, quantity=-lot.left)
            for lot in lots
        ),
        batch_size=BATCH,
    )
    StockLot.objects.filter(pk__in=[lot.pk for lot in lots]).update(left=0)


def _is_counted(last: StockMove, item: StockItem) -> bool:
    """Whether the last move is the counting that put all on the shelf."""
    is_counting = last.why == StockMove.Why.COUNTED and last.reverses_id is None
    return is_counting and last.quantity == item.on_hand
