"""What is on hand, and what it cost: lots drawn oldest first, kept, counted."""

from collections import deque
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import DatabaseError, transaction
from django.db.models import F, Sum
from django.utils import timezone
from hypothesis import given, settings
from hypothesis import strategies as st

from shop.billing import queries
from shop.billing import services as billing
from shop.billing.models import PartUse, StockItem, StockMove
from shop.billing.shelf import listing
from shop.billing.shelf.kept import kept_count
from shop.billing.shelf.moves import move_stock
from shop.billing.shelf_models import LotDraw, StockLot
from shop.billing.totals import Line
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from tests.factories import PersonFactory, ShopFactory, TicketFactory

Why = StockMove.Why


def euro(amount: str) -> Money:
    return Money.of(amount, "EUR")


@pytest.fixture
def fuse(hollin_lane: Shop) -> StockItem:
    return billing.stock_item_keep(shop=hollin_lane, code="FUSE-8A", name="Fuse, 8 A")


@pytest.fixture
def two_lots(fuse: StockItem, ines: Person) -> StockItem:
    """One at 1.00, then three at 1.20."""
    billing.stock_receive(item=fuse, by=ines, quantity=1, cost=euro("1.00"))
    billing.stock_receive(item=fuse, by=ines, quantity=3, cost=euro("1.20"))
    return fuse


def moved(item: StockItem) -> int:
    rows = item.moves.exclude(why=Why.RESERVED)
    return rows.aggregate(n=Sum("quantity"))["n"] or 0


def worth(item: StockItem) -> int:
    lots = item.lots.aggregate(n=Sum(F("left") * F("cost_minor")))
    return lots["n"] or 0


def use(ticket: Ticket, by: Person, item: StockItem, **more: Any) -> PartUse:
    return billing.part_use(
        ticket=ticket,
        by=by,
        name=item.name,
        cost=item.cost,
        item=item,
        is_in_board=True,
        **more,
    )


def test_a_use_costs_what_its_lots_did_a_row_for_each(
    two_lots: StockItem, ticket: Ticket, ines: Person
) -> None:
    first = use(ticket, ines, two_lots, quantity=3)
    rows = ticket.part_uses.values_list("quantity", "cost_minor", "price_minor")
    # 60 % markup, at least 2.00 (domain.md, 9).
    assert list(rows) == [(1, 100, 200), (2, 120, 200)]
    assert worth(two_lots) == 120
    billing.part_return(use=first, by=ines)
    assert [lot.left for lot in two_lots.lots.all()] == [1, 1]
    two_lots.refresh_from_db()
    assert two_lots.on_hand == moved(two_lots) == 2


def test_a_lot_neither_grows_nor_changes_what_was_drawn(two_lots: StockItem) -> None:
    with pytest.raises(DatabaseError), transaction.atomic():
        two_lots.lots.update(left=F("quantity") + 1)
    with pytest.raises(DatabaseError), transaction.atomic():
        LotDraw.objects.update(quantity=9)


def test_what_is_kept_for_another_ticket_is_not_free(
    two_lots: StockItem, ticket: Ticket, ines: Person, tomas: Person
) -> None:
    billing.stock_reserve(item=two_lots, ticket=ticket, by=ines, quantity=3)
    other = TicketFactory.create(by=tomas)
    with pytest.raises(Refused, match=f"kept for {ticket}"):
        use(other, ines, two_lots, quantity=2)
    with pytest.raises(Refused, match="3 kept"):
        billing.stock_reserve(item=two_lots, ticket=other, by=ines, quantity=2)
    use(other, ines, two_lots)
    use(ticket, ines, two_lots, quantity=2)
    assert kept_count(two_lots, timezone.now()) == 1


def test_a_reservation_lapses_by_itself_and_is_let_go_once(
    two_lots: StockItem, ticket: Ticket, ines: Person
) -> None:
    move = billing.stock_reserve(item=two_lots, ticket=ticket, by=ines, quantity=2)
    assert kept_count(two_lots, timezone.now()) == 2
    assert kept_count(two_lots, timezone.now() + timedelta(days=14)) == 0
    two_lots.refresh_from_db()
    assert two_lots.on_hand == 4
    billing.reservation_release(move=move, by=ines)
    assert kept_count(two_lots, timezone.now()) == 0
    with pytest.raises(Refused, match="not kept"):
        billing.reservation_release(move=move, by=ines)


def answered(
    ticket: Ticket, by: Person, text: str, quantity: int, *, said: bool
) -> None:
    quoted = Line.priced(
        code="estimate",
        text=text,
        quantity=Decimal(quantity),
        unit="C62",
        unit_price=Decimal(2),
        tax_percent=Decimal(20),
        currency="EUR",
    )
    quote = billing.quote_send(ticket=ticket, by=by, lines=[quoted])
    billing.quote_answer(
        quote=quote,
        is_yes=said,
        answered_by="Ada Pell",
        channel="phone",
        recorded_by=by,
    )


def test_a_yes_keeps_what_the_quote_names_and_a_no_lets_go(
    two_lots: StockItem, ticket: Ticket, tomas: Person
) -> None:
    billing.stock_reserve(item=two_lots, ticket=ticket, by=tomas)
    answered(ticket, tomas, "Fuse, 8 A", 2, said=True)
    assert kept_count(two_lots, timezone.now()) == 2
    assert kept_count(two_lots, timezone.now() + timedelta(days=59)) == 2
    other = TicketFactory.create(by=tomas)
    billing.stock_reserve(item=two_lots, ticket=other, by=tomas)
    answered(other, tomas, "Fuse, 8 A", 1, said=False)
    assert kept_count(two_lots, timezone.now()) == 2


def test_a_count_is_one_signed_move_with_its_reason(
    two_lots: StockItem, marit: Person
) -> None:
    count: Callable[..., Any] = billing.stock_count
    with pytest.raises(Refused, match="Say why"):
        count(item=two_lots, by=marit, counted=3, expected=4)
    with pytest.raises(Refused, match="below zero"):
        count(item=two_lots, by=marit, counted=-1, expected=4)
    with pytest.raises(Refused, match="moved meanwhile"):
        count(item=two_lots, by=marit, counted=3, expected=5, reason="lost")
    missing = count(item=two_lots, by=marit, counted=2, expected=4, reason="lost")
    assert (missing.move.quantity, worth(two_lots)) == (-2, 240)
    found = count(item=two_lots, by=marit, counted=3, expected=2, reason="found")
    assert (found.move.quantity, worth(two_lots)) == (1, 360)
    now = timezone.now()
    assert listing.worth_at(two_lots.shop, now).minor == 360
    assert listing.sums_of(two_lots.shop).worth.minor == 360
    assert listing.worth_at(two_lots.shop, found.at - timedelta(days=1)).minor == 0
    right = count(item=two_lots, by=marit, counted=3, expected=3)
    assert (right.move, right.reason) == (None, "")


def test_a_salvaged_part_comes_once_and_says_so_on_the_bill(
    fuse: StockItem, ticket: Ticket, ines: Person
) -> None:
    salvaged: dict[str, Any] = {
        "item": fuse,
        "by": ines,
        "origin": "taken_off:1",
        "donor": "D-1 PU3",
        "price": euro("4.00"),
    }
    lot = billing.stock_harvest(**salvaged)
    assert (lot.cost_minor, lot.is_salvaged, lot.name) == (0, True, "D-1 PU3")
    with pytest.raises(Refused, match="already"):
        billing.stock_harvest(**salvaged)
    with pytest.raises(Refused, match="below zero"):
        billing.stock_harvest(**salvaged | {"price": euro("-1"), "origin": "x"})
    billing.stock_receive(item=fuse, by=ines, quantity=1, cost=euro("1.00"))
    use(ticket, ines, fuse, quantity=2)
    rows = ticket.part_uses.values_list("is_salvaged", "cost_minor", "price_minor")
    assert list(rows) == [(True, 0, 400), (False, 100, 200)]

    texts = [line.text for line in queries.work_lines(ticket)]
    assert "Fuse, 8 A, salvaged part" in texts


# --- random moves against a model that knows no lots ---


ACTS = st.lists(
    st.tuples(st.sampled_from("rrtbc"), st.integers(1, 9), st.integers(0, 500)),
    min_size=1,
    max_size=40,
)


@pytest.mark.django_db
@pytest.mark.one_database
@settings(max_examples=40)
@given(ACTS)
def test_on_hand_equals_the_moves_and_the_value_a_queue_of_pieces(
    acts: list[tuple[str, int, int]],
) -> None:
    """Received, taken, put back, counted, in any order: 40 times up to 40 moves."""
    with transaction.atomic():
        play(acts)
        transaction.set_rollback(True)


def play(acts: list[tuple[str, int, int]]) -> None:
    shop = ShopFactory.create()
    by = PersonFactory.create(shop=shop, roles=[])
    item = billing.stock_item_keep(shop=shop, code="C", name="Capacitor")
    pieces = deque[tuple[int, int]]()  # (order of coming, cost), the oldest first
    taken = list[tuple[StockMove, list[tuple[int, int]]]]()
    for number, (act, quantity, cost) in enumerate(acts):
        item.refresh_from_db()
        money = Money.from_minor(cost, "EUR")
        if act == "r":
            billing.stock_receive(item=item, by=by, quantity=quantity, cost=money)
            pieces.extend([(number, cost)] * quantity)
        elif act == "b" and taken:
            move, back = taken.pop(quantity % len(taken))
            move_stock(item, by, 0, money, Why.RETURNED, reverses=move)
            pieces = deque(sorted([*back, *pieces]))
        elif quantity > len(pieces):
            with pytest.raises(Refused), transaction.atomic():
                move_stock(item, by, -quantity, money, Why.USED)
        else:
            why = Why.COUNTED if act == "c" else Why.USED
            move = move_stock(item, by, -quantity, money, why)
            taken.append((move, [pieces.popleft() for _ in range(quantity)]))
    item.refresh_from_db()
    assert item.on_hand == moved(item) == len(pieces)
    assert worth(item) == sum(cost for _number, cost in pieces)
    drawn = LotDraw.objects.filter(lot__item=item).aggregate(n=Sum("quantity"))["n"]
    assert (drawn or 0) == item.on_hand
    assert not StockLot.objects.filter(item=item, left__lt=0).exists()
