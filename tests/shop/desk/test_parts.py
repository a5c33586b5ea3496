"""Who has a part, and the way from a donor to the shelf and onto a bill."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from diagnostics import services as bench
from diagnostics.models import Board, Origin, TakenOff
from shop.billing import queries
from shop.billing.models import StockItem
from shop.intake.models import Place, Ticket
from shop.people.models import Person, Shop
from shop.records.errors import Refused

ClientOf = Callable[[str], Client]
KEY = "0123456789abcdef-{}"
CONTROLLER = "p.dual"


@pytest.fixture
def donor(hollin_lane: Shop, ines: Person) -> Board:
    model = bench.board_model_keep(
        shop=hollin_lane, by=ines, number="HN14-MB", family="laptop_barrel"
    )
    return bench.reference_board_keep(
        board_model=model, by=ines, origin=Origin.DONOR, serial="D-1"
    )


def send(client: Client, url: str, key: int = 1, **typed: object) -> Any:
    return client.post(url, {"idempotency_key": KEY.format(key), **typed})


def test_nothing_is_taken_off_without_a_paper(
    donor: Board, ines: Person, client_of: ClientOf
) -> None:
    with pytest.raises(Refused, match="by which paper"):
        bench.part_take_off(board=donor, by=ines, part_id=CONTROLLER)
    page, at_bench = f"/bench/donors/{donor.pk}/", client_of("ines")
    assert "Paper of ownership" in at_bench.get(page).content.decode()
    blank: dict[str, Any] = {"kind": "bought", "reference": " "}
    assert send(at_bench, f"{page}paper/", **blank).status_code == 422
    paper: dict[str, Any] = {"kind": "bought", "reference": "R-112"}
    assert send(at_bench, f"{page}paper/", 2, **paper).status_code == 302
    assert "R-112" in at_bench.get(page).content.decode()
    bench.part_take_off(board=donor, by=ines, part_id=CONTROLLER)


def place_of(item: StockItem, name: str) -> Place:
    return Place.objects.create(shop=item.shop, name=name)


def test_from_a_donor_to_the_shelf_and_onto_the_bill(
    donor: Board, ines: Person, ticket: Ticket, client_of: ClientOf
) -> None:
    at_bench, asked = client_of("ines"), {"q": CONTROLLER, "ticket": ticket.number}
    bench.donor_paper_keep(board=donor, by=ines, kind="own", reference="R-112")
    assert "still on it" in at_bench.get("/stock/who-has/", asked).content.decode()
    bench.part_take_off(board=donor, by=ines, part_id=CONTROLLER, place="PU3")
    url = f"/stock/harvest/{TakenOff.objects.get().pk}/"
    page = f"/bench/donors/{donor.pk}/"
    assert f'href="{url}"' in at_bench.get(page).content.decode()
    typed: dict[str, Any] = {"code": "DUAL-S", "price": "7.50"}
    assert send(at_bench, url, **typed | {"price": "-1"}).status_code == 422
    assert send(at_bench, url, 2, **typed | {"code": ""}).status_code == 422
    for _tap in range(2):
        assert send(at_bench, url, 3, **typed).status_code == 302
    item = StockItem.objects.get(code="DUAL-S")
    assert (item.on_hand, item.part_id, item.lots.get().name) == (
        1,
        CONTROLLER,
        "D-1 PU3",
    )
    StockItem.objects.filter(pk=item.pk).update(place=place_of(item, "Drawer 4"))
    shelved = at_bench.get(page).content.decode()
    assert url not in shelved
    link = f'<a href="{item.get_absolute_url()}">{item.name}</a>'
    assert f"On the shelf: {link}, Drawer 4" in shelved
    again = send(at_bench, url, 4, item=item.pk, price="7.50")
    assert again.status_code == 422
    assert "on the shelf already" in again.content.decode()
    found = at_bench.get("/stock/who-has/", asked).content.decode()
    assert "1 free of 1" in found
    part: dict[str, Any] = {"item": item.pk, "quantity": 1, "is_in_board": "on"}
    assert send(at_bench, f"/tickets/{ticket}/part/", 5, **part).status_code == 302
    used = at_bench.get(page).content.decode()
    assert "It was on the shelf and is used: " in used
    assert "Drawer 4" not in used
    line = next(line for line in queries.work_lines(ticket) if line.code == "part")
    assert (line.text, str(line.net.amount)) == (
        "3.3/5 V controller, salvaged part",
        "7.50",
    )
