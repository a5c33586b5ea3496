"""50,000 random moves of stock, and a million rows summed.

Parts are received, used, put back and counted at random; a model that knows single
pieces alone does the same. In the end what is on hand is the sum of the moves, of the
lots and of the draws, and the shelf is worth what the model's pieces cost. More than
lies there is asked for now and then, and must be refused. ``--rounds`` is a 250th of
the moves. A million amounts of 0.10 are then summed by the database itself.
"""

import random
import time
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from tests.drills.place import Result

if TYPE_CHECKING:
    from shop.billing.models import StockItem, StockMove
    from shop.people.models import Person, Shop

A_ROUND = 250
PARTS = 20
MILLION = 1_000_000
Piece = tuple[int, int]  # (order of coming, cost): the oldest first


@dataclass
class Shelf:
    """One part, and the pieces that should lie there."""

    item: "StockItem"
    pieces: deque[Piece] = field(default_factory=deque)
    taken: list[tuple["StockMove", list[Piece]]] = field(default_factory=list)


def run(seed: int, rounds: int) -> Result:
    from tests.drills.scene import shop_and_person

    shop, person = shop_and_person()
    chance = random.Random(seed)
    shelves = [shelf_of(shop, number) for number in range(PARTS)]
    start, refused = time.monotonic(), 0
    for number in range(rounds * A_ROUND):
        refused += not moved(chance.choice(shelves), person, chance, number)
    seconds = time.monotonic() - start
    lost = [wrong for shelf in shelves for wrong in found_wrong(shelf)]
    lost += list(found_wrong_in_all(shop, shelves))
    summed = million(shop, person)
    if summed != MILLION * 10:
        lost.append(f"a million times 0.10 came to {summed} hundredths")
    counts = {
        "moves": rounds * A_ROUND - refused,
        "refused": refused,
        "seconds": round(seconds),
        "rows summed": MILLION,
    }
    return Result("stock", counts, tuple(lost))


def shelf_of(shop: "Shop", number: int) -> Shelf:
    from shop.billing import services as billing

    code = f"P-{number}"
    return Shelf(billing.stock_item_keep(shop=shop, code=code, name=f"part {number}"))


def moved(shelf: Shelf, person: "Person", chance: random.Random, number: int) -> bool:
    """One act, on the shelf and in the model; false where it was refused."""
    from django.db import transaction

    from shop.billing import services as billing
    from shop.billing.models import StockMove
    from shop.billing.shelf.moves import move_stock
    from shop.money import Money
    from shop.records.errors import Refused

    why, item = StockMove.Why, shelf.item
    quantity, cost = chance.randint(1, 12), chance.randint(0, 9_999)
    money = Money.from_minor(cost, item.currency)
    act = chance.random()
    if act < 0.4:
        billing.stock_receive(item=item, by=person, quantity=quantity, cost=money)
        shelf.pieces.extend([(number, cost)] * quantity)
        return True
    if act < 0.5 and shelf.taken:
        move, back = shelf.taken.pop(chance.randrange(len(shelf.taken)))
        with transaction.atomic():
            move_stock(item, person, 0, money, why.RETURNED, reverses=move)
        shelf.pieces = deque(sorted([*back, *shelf.pieces]))
        return True
    try:
        with transaction.atomic():
            move = move_stock(
                item,
                person,
                -quantity,
                money,
                why.COUNTED if act > 0.95 else why.USED,
            )
    except Refused:
        if quantity <= len(shelf.pieces):
            raise
        return False
    shelf.taken.append((move, [shelf.pieces.popleft() for _ in range(quantity)]))
    return True


def found_wrong(shelf: Shelf) -> Iterator[str]:
    from django.db.models import F, Sum

    from shop.billing.shelf_models import LotDraw

    item = shelf.item
    item.refresh_from_db()
    draws = LotDraw.objects.filter(lot__item=item)
    sums = {
        "on hand": item.on_hand,
        "the moves": item.moves.aggregate(n=Sum("quantity"))["n"] or 0,
        "the lots": item.lots.aggregate(n=Sum("left"))["n"] or 0,
        "the draws": draws.aggregate(n=Sum("quantity"))["n"] or 0,
    }
    for what, count in sums.items():
        if count != len(shelf.pieces):
            yield f"{item.code}: {what} come to {count} of {len(shelf.pieces)}"
    worth = item.lots.aggregate(n=Sum(F("left") * F("cost_minor")))["n"] or 0
    if worth != sum(cost for _number, cost in shelf.pieces):
        yield f"{item.code}: worth {worth}"


def found_wrong_in_all(shop: "Shop", shelves: list[Shelf]) -> Iterator[str]:
    from shop.billing.shelf.listing import sums_of

    sums = sums_of(shop)
    worth = sum(cost for shelf in shelves for _number, cost in shelf.pieces)
    pieces = sum(len(shelf.pieces) for shelf in shelves)
    if (sums.pieces, sums.worth.minor) != (pieces, worth):
        yield f"the list says {sums} of {pieces} worth {worth}"


def million(shop: "Shop", person: "Person") -> int:
    """A million moves of one piece at 0.10, and what the database makes of them."""
    from django.db.models import F, Sum

    from shop.billing import services as billing
    from shop.billing.models import StockMove

    item = billing.stock_item_keep(shop=shop, code="DIME", name="ten hundredths")
    rows = StockMove.objects
    for _ in range(100):
        rows.bulk_create(
            StockMove(
                item=item,
                quantity=1,
                cost_minor=10,
                why=StockMove.Why.RECEIVED,
                by=person,
            )
            for _ in range(MILLION // 100)
        )
    total = rows.filter(item=item).aggregate(n=Sum(F("quantity") * F("cost_minor")))
    return int(total["n"])
