from collections.abc import Callable
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.db.models import Sum

from shop.billing import queries
from shop.billing import services as billing
from shop.billing.models import PartUse, StockItem, StockMove
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from shop.records.models import Event
from tests.shop.billing.conftest import OPENED, euro

Act = Callable[..., Any]


@pytest.fixture
def use(job: Ticket, ines: Person) -> Act:
    def part(**words: Any) -> PartUse:
        fields: dict[str, Any] = {
            "ticket": job,
            "by": ines,
            "name": "Fuse",
            "cost": euro("6.40"),
            "is_in_board": True,  # only the fee is agreed
        }
        return billing.part_use(**(fields | words))

    return part


def on_hand(item: StockItem) -> int:
    """What the row says, proved by the sum of the moves."""
    item.refresh_from_db()
    assert item.moves.aggregate(sum=Sum("quantity"))["sum"] == item.on_hand
    return item.on_hand


def test_a_part_is_billed_at_cost_with_markup(use: Act, job: Ticket) -> None:
    kept = use(quantity=2)
    assert (kept.price, kept.cost) == (euro("10.24"), euro("6.40"))
    line = queries.work_lines(job)[1]
    assert (line.text, int(line.quantity), line.net) == ("Fuse", 2, euro("20.48"))
    event = Event.objects.get(kind="part_used")
    assert event.amounts == {"quantity": 2, "cost": 640, "price": 1024}


def test_a_part_comes_off_the_shelf(use: Act, shelf: StockItem) -> None:
    use(item=shelf, quantity=2, cost=shelf.cost)
    assert on_hand(shelf) == 0


def test_more_than_is_on_the_shelf_is_refused(use: Act, shelf: StockItem) -> None:
    with pytest.raises(Refused, match="On the shelf: 2 of Capacitor") as refusal:
        use(item=shelf, quantity=3)
    assert refusal.value.field == "quantity"
    assert on_hand(shelf) == 2
    assert not PartUse.objects.exists()


def test_the_database_refuses_a_shelf_below_zero(shelf: StockItem) -> None:
    rows = StockItem.objects.filter(pk=shelf.pk)
    with pytest.raises(IntegrityError), transaction.atomic():
        rows.update(on_hand=-1)


def test_a_part_is_taken_back_once_onto_its_shelf(
    use: Act, shelf: StockItem, job: Ticket, ines: Person
) -> None:
    kept = use(item=shelf, cost=shelf.cost)
    billing.part_return(use=kept, by=ines)
    assert on_hand(shelf) == 2
    assert [line.code for line in queries.work_lines(job)] == ["fee"]
    with pytest.raises(Refused, match="taken back already"):
        billing.part_return(use=kept, by=ines)


def test_a_free_part_is_taken_back_without_a_shelf(use: Act, ines: Person) -> None:
    billing.part_return(use=use(), by=ines)
    assert not StockMove.objects.exists()


def test_a_salvaged_part_costs_nothing_and_has_its_own_price(
    use: Act, job: Ticket
) -> None:
    kept = use(is_salvaged=True, price=euro("5.00"))
    assert (kept.cost, kept.price) == (euro("0"), euro("5.00"))
    assert queries.work_lines(job)[1].text == "Fuse, salvaged part"
    with pytest.raises(Refused) as refusal:
        use(is_salvaged=True)
    assert refusal.value.field == "price"


@pytest.mark.parametrize(
    ("words", "field"),
    [
        ({"quantity": 0}, "quantity"),
        ({"quantity": -1}, "quantity"),
        ({"cost": euro("-1")}, "cost"),
        ({"cost": Money.of(1, "SEK")}, "cost"),
        ({"price": euro("-1")}, "price"),
        ({"price": Money.of(1, "SEK")}, "price"),
    ],
)
def test_a_wrong_part_is_refused(use: Act, words: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        use(**words)
    assert refusal.value.field == field


def test_another_shops_shelf_is_not_ours(use: Act, shelf: StockItem) -> None:
    shelf.shop = Shop.objects.create(name="Elsewhere", country="ZZ", currency="EUR")
    shelf.save(update_fields=["shop"])
    with pytest.raises(Refused, match="not on our shelf"):
        use(item=shelf)


def test_the_newest_cost_is_what_a_part_costs(shelf: StockItem, ines: Person) -> None:
    billing.stock_receive(item=shelf, by=ines, quantity=5, cost=euro("0.40"), lot="B")
    assert shelf.cost == euro("0.40")
    assert on_hand(shelf) == 7


@pytest.mark.parametrize(
    "words", [{"quantity": 0}, {"cost": euro("-1")}, {"cost": Money.of(1, "SEK")}]
)
def test_wrong_goods_are_not_received(
    shelf: StockItem, ines: Person, words: dict[str, Any]
) -> None:
    right: dict[str, Any] = {"quantity": 1, "cost": euro("1")}
    with pytest.raises(Refused):
        billing.stock_receive(item=shelf, by=ines, **(right | words))
    assert on_hand(shelf) == 2


def test_an_ordered_part_arrives_once(job: Ticket, ines: Person) -> None:
    line = billing.part_order(
        ticket=job,
        by=ines,
        supplier="Quayside Parts",
        name="Controller",
        price=euro("6.40"),
        due_on=OPENED.date(),
    )
    assert queries.orders_of(job) == [(line, "")]
    billing.part_arrive(order_line=line, by=ines)
    assert queries.orders_of(job) == [(line, "arrived")]
    with pytest.raises(Refused, match="arrived already"):
        billing.part_arrive(order_line=line, by=ines)
    kinds = ["ticket_opened", "part_ordered", "part_arrived"]
    assert [e.kind for e in Event.objects.filter(ticket_id=job.pk)] == kinds


def test_a_wrong_order_is_refused(job: Ticket, ines: Person) -> None:
    for wrong in (
        {"quantity": 0},
        {"price": euro("-1")},
        {"price": Money.of(1, "SEK")},
    ):
        order: dict[str, Any] = {
            "supplier": "Quayside Parts",
            "name": "Fuse",
            "price": euro("1"),
        }
        with pytest.raises(Refused):
            billing.part_order(ticket=job, by=ines, **(order | wrong))


def test_an_order_without_a_ticket_does_not_arrive_on_one(
    job: Ticket, ines: Person
) -> None:
    line = billing.part_order(
        ticket=job, by=ines, supplier="Quayside Parts", name="Fuse", price=euro("1")
    )
    line.ticket = None
    with pytest.raises(Refused, match="not ordered for a ticket"):
        billing.part_arrive(order_line=line, by=ines)
