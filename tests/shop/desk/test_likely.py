"""The shelf as a part is used: what this board may need stands first."""

from collections.abc import Callable
from types import SimpleNamespace

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.models import Board
from shop.billing import services as billing
from shop.billing.models import PartUse
from shop.desk import likely
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person
from tests.samples import board_of

SHELF = (("A-1", "Adhesive", ""), ("C-9", "Controller", "p.dual"), ("E-2", "EC", "ec"))


@pytest.fixture
def board(ticket: Ticket, ines: Person) -> Board:
    return board_of(ticket, ines)


@pytest.fixture
def shelf(ticket: Ticket, tomas: Person) -> dict[str, int]:
    found = {}
    for code, name, part_id in SHELF:
        item = billing.stock_item_keep(
            shop=ticket.shop, code=code, name=name, part_id=part_id
        )
        billing.stock_receive(
            item=item, by=tomas, quantity=2, cost=Money.of("1.00", "EUR")
        )
        found[code] = item.pk
    return found


def groups_of(client: Client, ticket: Ticket) -> dict[str, list[int]]:
    page = client.get(reverse("billing:part_use", args=[ticket.number]))
    _empty, *groups = page.context["form"]["item"].field.choices
    return {str(name): [pk for pk, _label in rows] for name, rows in groups}


def test_what_the_board_carries_stands_before_everything_else(
    ticket: Ticket,
    board: Board,
    shelf: dict[str, int],
    client_of: Callable[[str], Client],
) -> None:
    carried = likely.part_ids_of(ticket)
    assert "p.dual" in carried
    groups = groups_of(client_of("ines"), ticket)
    assert shelf["C-9"] in groups["Likely for this board"]
    assert shelf["A-1"] in groups["Everything else"]


def test_a_suspect_stands_first(
    ticket: Ticket,
    board: Board,
    shelf: dict[str, int],
    client_of: Callable[[str], Client],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    said = SimpleNamespace(suspects=[SimpleNamespace(part_id="p.dual")])
    monkeypatch.setattr("shop.desk.likely.advising.said_before", lambda _known: said)
    assert likely.part_ids_of(ticket)[0] == "p.dual"
    groups = groups_of(client_of("ines"), ticket)
    assert groups["Likely for this board"][0] == shelf["C-9"]


def test_without_a_board_it_is_one_list_and_a_part_is_used(
    ticket: Ticket, shelf: dict[str, int], client_of: Callable[[str], Client]
) -> None:
    bench = client_of("ines")
    assert groups_of(bench, ticket) == {"Everything else": list(shelf.values())}
    url = reverse("billing:part_use", args=[ticket.number])
    form = {"item": shelf["A-1"], "quantity": "1", "is_in_board": "on"}
    answer = bench.post(url, form | {"idempotency_key": "a-key-of-the-part-used"})
    assert answer.status_code == 302, answer.content.decode()
    assert PartUse.objects.get().name == "Adhesive"
