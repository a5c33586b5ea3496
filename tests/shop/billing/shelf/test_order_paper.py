"""An order on paper: its lines, its sums by hand, and no line that is another's."""

import re
from collections.abc import Callable
from datetime import date, timedelta
from io import BytesIO
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from shop.billing import services as billing
from shop.billing.models import OrderLine, StockItem
from shop.billing.shelf import arriving
from shop.billing.shelf.order_paper import order_html, order_of, order_pdf, orders_in
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person, Shop

ClientOf = Callable[[str], Client]
Order = Callable[..., OrderLine]
DUE = date(2027, 3, 9)


@pytest.fixture
def item(hollin_lane: Shop, ines: Person) -> StockItem:
    return billing.stock_item_keep(shop=hollin_lane, code="FUSE-8A", name="Fuse 8 A")


@pytest.fixture
def order(item: StockItem, ines: Person) -> Order:
    def line(**more: Any) -> OrderLine:
        asked: dict[str, Any] = {
            "supplier": "Marsh Components",
            "quantity": 10,
            "price": Money.of("0.45", "EUR"),
            "reference": "M-7781",
            "due_on": DUE,
        }
        return billing.stock_order(item=item, by=ines, **(asked | more))

    return line


def words_of(line: OrderLine) -> str:
    html = order_html(order_of(line))
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_lines_of_shelf_and_ticket_stand_together_with_their_sums(
    order: Order, ticket: Ticket, ines: Person
) -> None:
    """10 at 0.45 are 4.50, 2 at 4.10 are 8.20, together 12.70."""
    first = order()
    second = billing.part_order(
        ticket=ticket,
        by=ines,
        supplier="Marsh Components",
        name="3.3/5 V controller",
        quantity=2,
        price=Money.of("4.10", "EUR"),
        reference="M-7781",
    )
    words = words_of(second)
    for said in (
        "Order M-7781",
        "To Marsh Components",
        "Hollin Lane Board Repair",
        "Fuse 8 A FUSE-8A 9 March 2027 10 0.45 4.50",
        "3.3/5 V controller 2 4.10 8.20",
        "Together, before tax, EUR 12.70",
    ):
        assert said in words, said
    assert ticket.customer.name not in words
    assert order_of(first).lines == (first, second)


def test_the_suppliers_number_of_the_part_is_kept_printed_and_scanned(
    order: Order, hollin_lane: Shop, client_of: ClientOf
) -> None:
    order(their_code="F8-063")
    again = order(supplier="marsh components", reference="M-7790")
    assert again.their_code == "F8-063"
    assert "Fuse 8 A F8-063 FUSE-8A" in words_of(again)
    assert order(supplier="Fenwick").their_code == ""
    assert len(arriving.meant(hollin_lane, "f8-063")) == 2
    page = client_of("tomas").get("/stock/receive/", {"code": "F8-063"})
    assert page.content.decode().count(">F8-063<") == 2


def test_another_supplier_number_or_day_is_another_order(
    order: Order, item: StockItem, hollin_lane: Shop
) -> None:
    first = order()
    order(supplier="Fenwater Parts")
    order(reference="M-7782")
    before = order()
    OrderLine.objects.filter(pk=before.pk).update(
        ordered_at=timezone.now() - timedelta(days=3)
    )
    assert order_of(first).lines == (first,)
    lines = OrderLine.objects.filter(shop=hollin_lane, supplier="Marsh Components")
    assert len(orders_in(hollin_lane, lines)) == 3


def test_what_is_waited_for_no_more_is_not_on_it(order: Order, ines: Person) -> None:
    stays, ended = order(), order(quantity=7)
    billing.order_end(order_line=ended, by=ines)
    assert order_of(stays).lines == (stays,)


def test_two_currencies_have_no_sum(order: Order) -> None:
    first, other = order(), order()
    OrderLine.objects.filter(pk=other.pk).update(currency="USD")
    assert order_of(first).total is None
    assert "Together, before tax" not in words_of(first)


def test_the_page_leads_to_the_paper_and_its_bytes_stay(
    order: Order, client_of: ClientOf
) -> None:
    line = order()
    url = reverse("billing:order_pdf", args=[line.pk])
    assert url in client_of("tomas").get("/stock/orders/").content.decode()
    assert url not in client_of("ines").get("/stock/orders/").content.decode()
    answer = client_of("tomas").get(url)
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content == order_pdf(order_of(line))
    pages = PdfReader(BytesIO(answer.content)).pages
    assert len(pages) == 1
    assert "Marsh Components" in pages[0].extract_text()
