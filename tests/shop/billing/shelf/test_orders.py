"""Ordered, received, wrong, dead, claimed: whose turn it is, and what is owed us."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shop.billing import queries
from shop.billing import services as billing
from shop.billing.models import OrderLine, StockItem
from shop.billing.shelf import arriving, listing
from shop.billing.shelf.kept import kept_count
from shop.billing.shelf.reorder import Point, TooFew
from shop.intake import queries as tickets
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person, Shop
from shop.records.errors import Refused

ClientOf = Callable[[str], Client]
KEY = "0123456789abcdef-{}"
BARCODE = "4006381333931"  # an EAN-13 with its check digit (GS1)


def euro(amount: str) -> Money:
    return Money.of(amount, "EUR")


def send(client: Client, url: str, key: int = 1, **typed: object) -> Any:
    return client.post(url, {"idempotency_key": KEY.format(key), **typed})


def whose(ticket: Ticket) -> str:
    return str(tickets.turn_of(ticket, timezone.now()).whose)


@pytest.fixture
def ordered(ticket: Ticket, ines: Person) -> OrderLine:
    """Two controllers for the ticket."""
    return billing.part_order(
        ticket=ticket,
        by=ines,
        supplier="Marsh",
        name="controller",
        quantity=2,
        price=euro("4.10"),
        reference="M-7781",
    )


@pytest.fixture
def fuse(hollin_lane: Shop, ines: Person) -> StockItem:
    item = billing.stock_item_keep(
        shop=hollin_lane,
        code="FUSE-8A",
        name="Fuse, 8 A",
        barcode=BARCODE,
        supplier="Marsh",
    )
    billing.stock_receive(item=item, by=ines, quantity=3, cost=euro("0.40"))
    return item


def test_a_scan_names_the_ticket_and_the_place_and_ends_the_turn(
    ordered: OrderLine, ticket: Ticket, tomas: Person, client_of: ClientOf
) -> None:
    intake.places_make(shop=ticket.shop, by=tomas, names="D4", kind="drawer")
    desk = client_of("tomas")
    found = desk.get("/stock/receive/", {"code": "m-7781"})
    assert found["Location"] == f"/stock/receive/{ordered.pk}/"
    typed: dict[str, Any] = {"quantity": 1, "cost": "4.10", "place": "d4"}
    came = send(desk, found["Location"], **typed)
    page = desk.get(came["Location"]).content.decode()
    assert str(ticket) in page
    assert "D4" in page
    assert "1 more of this order are awaited" in page
    assert whose(ticket) == "supplier"
    again = send(desk, found["Location"], 2, **typed | {"quantity": 2})
    assert again.status_code == 422
    assert "Still awaited: 1" in again.content.decode()
    assert send(desk, found["Location"], 3, **typed).status_code == 302
    assert (whose(ticket), queries.orders_of(ticket)[0][1]) == ("ours", "arrived")
    assert send(desk, found["Location"], 4, **typed).status_code == 422
    item = ticket.shop.stock_items.get(name="controller")
    assert (item.on_hand, kept_count(item, timezone.now())) == (2, 2)


def test_a_second_tap_receives_and_uses_once(
    ordered: OrderLine, ticket: Ticket, client_of: ClientOf
) -> None:
    bench = client_of("ines")
    typed: dict[str, Any] = {"quantity": 2, "cost": "4.10"}
    for _tap in range(2):
        send(bench, f"/stock/receive/{ordered.pk}/", **typed)
    item = ticket.shop.stock_items.get(name="controller")
    assert item.on_hand == 2
    work = bench.get(reverse("billing:work", args=[ticket])).content.decode()
    assert "Used it" in work
    for _tap in range(2):
        part: dict[str, Any] = {"item": item.pk, "quantity": 1, "is_in_board": "on"}
        assert send(bench, f"/tickets/{ticket}/part/", 2, **part).status_code == 302
    assert ticket.part_uses.get().cost == euro("4.10")
    item.refresh_from_db()
    assert (item.on_hand, kept_count(item, timezone.now())) == (1, 1)


def test_a_wrong_part_stays_a_suppliers_turn_until_it_is_replaced(
    ordered: OrderLine, ticket: Ticket, tomas: Person, client_of: ClientOf
) -> None:
    desk = client_of("tomas")
    day = timezone.now().date() + timedelta(days=4)
    typed: dict[str, Any] = {
        "kind": "wrong",
        "quantity": 2,
        "is_replaced": "yes",
        "again_by": day,
    }
    assert send(desk, f"/stock/receive/{ordered.pk}/wrong/", **typed).status_code == 302
    claim = ticket.claims.get()
    assert (claim.supplier, claim.worth) == ("Marsh", euro("8.20"))
    again = ticket.order_lines.get(replaces=claim)
    assert (whose(ticket), again.due_on) == ("supplier", day)
    assert "wrong part" in desk.get("/counter/").content.decode()
    billing.order_receive(order_line=again, by=tomas)
    assert list(arriving.open_claims(ticket.shop)) == []
    assert claim.end.how == "replaced"
    assert whose(ticket) == "ours"


def test_a_credit_settles_a_claim_once_and_never_above_its_worth(
    ordered: OrderLine, ticket: Ticket, tomas: Person, client_of: ClientOf
) -> None:
    claim = billing.claim_at_arrival(
        order_line=ordered, by=tomas, kind="dead", quantity=2
    )
    assert whose(ticket) == "ours"
    url, desk = f"/stock/claims/{claim.pk}/", client_of("tomas")
    for number, wrong in enumerate(("", "-1", "8.21", "1 SEK")):
        answer = send(desk, url, number, how="credited", amount=wrong)
        assert answer.status_code == 422, wrong
    right: dict[str, Any] = {"how": "credited", "amount": "8.20", "reference": "C-1"}
    assert send(desk, url, 8, **right).status_code == 302
    assert send(desk, url, 9, **right).status_code == 422
    assert claim.end.amount == euro("8.20")


def test_a_part_that_died_in_the_board_leaves_ticket_and_shelf(
    fuse: StockItem, ticket: Ticket, ines: Person, client_of: ClientOf
) -> None:
    use = billing.part_use(
        ticket=ticket,
        by=ines,
        name=fuse.name,
        cost=fuse.cost,
        item=fuse,
        is_in_board=True,
    )
    typed: dict[str, Any] = {
        "kind": "dead",
        "quantity": 1,
        "supplier": "Marsh",
        "is_replaced": "no",
    }
    url = f"/tickets/{ticket}/part/{use.pk}/wrong/"
    assert send(client_of("ines"), url, **typed).status_code == 302
    fuse.refresh_from_db()
    assert (fuse.on_hand, ticket.claims.get().worth) == (2, euro("0.40"))
    assert not queries.work_of(ticket)["uses"].filter(reversed_by=None).exists()
    assert send(client_of("ines"), url, 2, **typed).status_code == 422


def test_dead_on_the_shelf_it_is_kept_no_more_but_what_replaces_it(
    ordered: OrderLine, ticket: Ticket, tomas: Person
) -> None:
    item = billing.order_receive(order_line=ordered, by=tomas).item
    billing.claim_from_shelf(
        lot=item.lots.get(), by=tomas, kind="dead", quantity=1, is_replaced=True
    )
    assert (kept_count(item, timezone.now()), whose(ticket)) == (1, "supplier")
    again = ticket.order_lines.get(replaces__isnull=False)
    billing.order_receive(order_line=again, by=tomas)
    assert (kept_count(item, timezone.now()), whose(ticket)) == (2, "ours")


def test_more_than_a_lot_has_left_is_no_claim(fuse: StockItem, ines: Person) -> None:
    claim: dict[str, Any] = {"lot": fuse.lots.get(), "by": ines, "kind": "dead"}
    with pytest.raises(Refused, match="Left of this lot: 3"):
        billing.claim_from_shelf(**claim, quantity=4)
    with pytest.raises(Refused, match="At least one"):
        billing.claim_from_shelf(**claim, quantity=0)


def test_what_runs_low_is_ordered_for_the_shelf(
    fuse: StockItem, marit: Person, client_of: ClientOf
) -> None:
    billing.stock_item_keep(shop=fuse.shop, item=fuse, code="FUSE-8A", reorder_at=3)
    owner = client_of("marit")
    page = owner.get("/stock/orders/").content.decode()
    assert "Order 3" in page
    url = f"/stock/{fuse.pk}/order/"
    typed: dict[str, Any] = {"supplier": "Marsh", "quantity": "3", "price": "0.38"}
    assert send(owner, url, **typed | {"quantity": "-3"}).status_code == 422
    assert send(owner, url, 2, **typed).status_code == 302
    assert "Order 3" not in owner.get("/stock/orders/").content.decode()
    line = fuse.order_lines.get()
    found = owner.get("/stock/receive/", {"code": BARCODE})
    assert found["Location"] == f"/stock/receive/{line.pk}/"
    billing.order_receive(order_line=line, by=marit, cost=euro("0.39"))
    assert list(fuse.lots.values_list("left", "cost_minor")) == [(3, 40), (3, 39)]


def test_a_point_is_reckoned_once_enough_was_used(
    fuse: StockItem, ticket: Ticket, ines: Person
) -> None:
    now = timezone.now()
    (row,) = listing.rows_of(fuse.shop, [fuse], now)
    assert (row.point, row.reorder_at, row.to_order) == (TooFew(0, 0), None, 0)
    for week in range(10, 0, -1):
        at = now - timedelta(weeks=week)
        line = billing.stock_order(
            item=fuse, by=ines, supplier="Marsh", price=euro("0.40"), at=at
        )
        arrived = at + timedelta(days=5)
        billing.order_receive(order_line=line, by=ines, at=arrived)
        billing.part_use(
            ticket=ticket,
            by=ines,
            name="f",
            cost=fuse.cost,
            item=fuse,
            is_in_board=True,
            at=arrived,
        )
    (row,) = listing.rows_of(fuse.shop, [fuse], now)
    assert isinstance(row.point, Point)
    assert row.point.lead == pytest.approx(5)
    # Ten in the 65 days since the first came: 0.154 a day; 1.645 * 0.364 * sqrt(5).
    assert row.point.demand * row.point.lead == pytest.approx(50 / 65, abs=0.02)
    assert row.point.safety == pytest.approx(1.34, abs=0.02)
    assert row.point.at == 3


def test_the_shelf_asks_the_database_a_fixed_number_of_times(
    fuse: StockItem, ines: Person, django_assert_num_queries: Any
) -> None:
    for number in range(3):
        more = billing.stock_item_keep(shop=fuse.shop, code=f"X{number}", name="x")
        billing.stock_receive(item=more, by=ines, quantity=1, cost=euro("1"))
    items = list(listing.found(fuse.shop))
    with django_assert_num_queries(6):
        assert len(listing.rows_of(fuse.shop, items, timezone.now())) == 4


def test_a_count_is_blind_and_then_asks_why(
    fuse: StockItem, client_of: ClientOf
) -> None:
    owner, url, field = client_of("marit"), "/stock/count/", f"i{fuse.pk}"
    assert "should be here" not in owner.get(url).content.decode()
    counted: dict[str, Any] = {f"{field}-counted": "2"}
    asked = send(owner, url, **counted).content.decode()
    assert "3 should be here, 2 counted" in asked
    keep: dict[str, Any] = counted | {"step": "keep", f"{field}-expected": "3"}
    assert send(owner, url, 2, **keep).status_code == 422
    assert send(owner, url, 3, **{f"{field}-counted": "-2"}).status_code == 422
    assert send(owner, url, 4, **keep, **{f"{field}-reason": "lost"}).status_code == 302
    fuse.refresh_from_db()
    assert (fuse.on_hand, fuse.moves.get(why="counted").quantity) == (2, -1)
