"""What comes back with a credit note over a sale: to its lots, never more than sold."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.db import DatabaseError, transaction
from django.test import Client

from shop.billing import services as billing
from shop.billing.models import Invoice, StockItem, StockMove
from shop.billing.selling.returns import still_out
from shop.billing.shelf_models import LineMove
from shop.books.balance import trial_balance
from shop.books.bundle.checks import ties
from shop.books.journal import entries
from shop.books.periods import Period
from shop.books.posting.accounts import Account
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from tests.shop.billing.conftest import OPENED, euro

Act = Callable[..., Any]


@pytest.fixture
def fuse(hollin_lane: Shop, tomas: Person) -> StockItem:
    """Two at 1.00, then three at 1.25."""
    item = billing.stock_item_keep(shop=hollin_lane, code="FUSE", name="Fuse, 8 A")
    for quantity, cost in ((2, "1.00"), (3, "1.25")):
        billing.stock_receive(
            item=item, by=tomas, quantity=quantity, cost=euro(cost), at=OPENED
        )
    return item


@pytest.fixture
def sold(hollin_lane: Shop, tomas: Person, fuse: StockItem) -> Invoice:
    """Four fuses off two lots, and a cable that never was on the shelf."""
    lines = [
        billing.Sold("Fuse", Decimal(4), euro("3.00"), Decimal(20), item=fuse),
        billing.Sold("Cable", Decimal(1), euro("5.00"), Decimal(20)),
    ]
    made = billing.sale_do(
        shop=hollin_lane,
        by=tomas,
        sold=lines,
        method="card",
        with_tax=False,
        at=OPENED,
    )
    return made.invoice


def left(item: StockItem) -> list[int]:
    """On hand, then what is left of each lot."""
    item.refresh_from_db()
    return [item.on_hand, *item.lots.values_list("left", flat=True)]


def test_what_was_drawn_last_comes_back_first_each_to_its_lot(
    sold: Invoice, fuse: StockItem, marit: Person
) -> None:
    """By hand: of 2 at 1.00 and 2 at 1.25, three back are 1.25, 1.25 and 1.00."""
    assert left(fuse) == [1, 0, 1]
    assert still_out(sold) == {1: 4}
    billing.credit_note_issue(
        invoice=sold, by=marit, takes={1: euro("9.00")}, shelved={1: 3}, at=OPENED
    )
    assert left(fuse) == [4, 1, 3]
    assert still_out(sold) == {1: 1}
    billing.credit_note_issue(invoice=sold, by=marit, shelved={1: 1}, at=OPENED)
    assert left(fuse) == [5, 2, 3]
    assert still_out(sold) == {}
    moves = StockMove.objects.filter(item=fuse, why="returned")
    assert [move.quantity for move in moves] == [3, 1]
    assert sum(draw.quantity for move in moves for draw in move.draws.all()) == 4


def test_the_books_tie_with_what_came_back(
    sold: Invoice, fuse: StockItem, marit: Person
) -> None:
    """Sold for 4.50 of cost, 2.50 of it back: 2.00 is left as the cost of parts."""
    billing.credit_note_issue(
        invoice=sold, by=marit, takes={1: euro("6.00")}, shelved={1: 2}, at=OPENED
    )
    period = Period(sold.shop, OPENED.date(), OPENED.date())
    sums = trial_balance(entries(period))
    assert sums.balance("EUR", Account.PARTS_COST) == 200
    assert sums.balance("EUR", Account.STOCK) == 575 - 200
    assert all(tie.holds for tie in ties(period, sums))


@pytest.mark.parametrize(
    ("shelved", "field", "said"),
    [
        ({1: 5}, "pieces_1", "Sold and not back yet: 4"),
        ({1: 0}, "pieces_1", "Sold and not back yet: 4"),
        ({2: 1}, "back_2", "Sold and not back yet: 0"),
        ({3: 1}, "back_3", "Take back a sum of this line too"),
    ],
)
def test_never_above_what_was_sold(
    sold: Invoice,
    fuse: StockItem,
    marit: Person,
    shelved: dict[int, int],
    field: str,
    said: str,
) -> None:
    with pytest.raises(Refused, match=said) as refusal, transaction.atomic():
        billing.credit_note_issue(invoice=sold, by=marit, shelved=shelved)
    assert refusal.value.field == field
    assert left(fuse) == [1, 0, 1]
    assert not sold.credit_notes.exists()


def test_which_move_is_of_which_line_is_never_changed(sold: Invoice) -> None:
    row = LineMove.objects.first()
    assert row is not None
    with pytest.raises(DatabaseError), transaction.atomic():
        row.delete()


def test_the_page_asks_by_a_tick_and_puts_back_what_is_said(
    sold: Invoice, fuse: StockItem, marit: Person
) -> None:
    owner = Client()
    owner.force_login(marit)
    url = f"/invoices/{sold.number}/credit-note/"
    page = owner.get(url).content.decode()
    assert page.count("The part comes back to the shelf") == 1
    typed = {"reason": "Did not fit", "extent": "part", "line_1": "3.00"}
    typed |= {"back_1": "on", "pieces_1": "9"}
    refused = owner.post(url, typed | {"idempotency_key": "a-key-of-the-part-1"})
    assert refused.status_code == 422
    assert "cannot be above 4" in refused.content.decode()
    good = typed | {"pieces_1": "1", "idempotency_key": "a-key-of-the-part-2"}
    assert [owner.post(url, good).status_code for _tap in "12"] == [302, 302]
    assert left(fuse) == [2, 0, 2]
    kept = typed | {"back_1": "", "pieces_1": "", "line_1": "9.00"}
    owner.post(url, kept | {"idempotency_key": "a-key-of-the-part-3"})
    assert left(fuse) == [2, 0, 2], "without the tick it stays with the customer"
