"""Reference sessions: a known-good or donor board, no ticket and no customer."""

from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics import holding
from diagnostics import services as bench
from diagnostics.models import Board, BoardModel, Origin, Reading
from diagnostics.place import Place
from shop.people.models import Person
from shop.records.errors import Refused
from tests.diagnostics.conftest import Read

PAGE = reverse("diagnostics:references")


def keyed(**fields: object) -> dict[str, object]:
    return {"idempotency_key": str(uuid4()), **fields}


@pytest.fixture
def good_board(heron: BoardModel, ines: Person) -> Board:
    return bench.reference_board_keep(
        board_model=heron, by=ines, origin=Origin.KNOWN_GOOD, serial="KG-1"
    )


def test_a_good_board_is_entered_and_read_without_a_ticket(
    at_bench: Client, heron: BoardModel
) -> None:
    fields = keyed(number=heron.number, origin="known_good", serial="KG-7")
    page = at_bench.post(PAGE, fields)
    board = Board.objects.get(serial="KG-7")
    assert page["Location"] == Place(None, board).url()
    entry = reverse("diagnostics:reading_take", args=["reference", board.pk])
    at_bench.post(entry, keyed(point_id="k04/leads", typed="0.2"))
    kept = Reading.objects.get(board=board)
    assert (kept.ticket, kept.value) == (None, 0.2)


def test_its_page_names_no_ticket_and_no_suspects(
    at_bench: Client, good_board: Board
) -> None:
    html = at_bench.get(Place(None, good_board).url()).content.decode()
    assert "Reference session" in html
    assert "known good" in html
    assert "Suspects so far" not in html


def test_the_first_reading_takes_the_board_and_puts_the_other_down(
    good_board: Board, board: Board, read: Read, ines: Person
) -> None:
    read("k04/leads", "0.2")
    bench.reading_take(
        board=good_board, ticket=None, by=ines, point_id="k04/leads", typed="0.2"
    )
    assert holding.holder_of(good_board) == ines.pk
    assert holding.holder_of(board) is None


def test_a_customers_board_has_no_reference_session(
    at_bench: Client, board: Board
) -> None:
    assert at_bench.get(Place(None, board).url()).status_code == 404


def test_another_shops_board_is_not_found(
    client: Client, elsewhere: Person, good_board: Board
) -> None:
    client.force_login(elsewhere)
    assert client.get(Place(None, good_board).url()).status_code == 404


def test_a_customers_serial_number_is_refused(
    board: Board, heron: BoardModel, ines: Person
) -> None:
    with pytest.raises(Refused, match="customer’s board"):
        bench.reference_board_keep(
            board_model=heron, by=ines, origin=Origin.DONOR, serial=board.serial
        )


def test_a_new_number_without_a_family_keeps_what_was_typed(at_bench: Client) -> None:
    page = at_bench.post(PAGE, keyed(number="NEW-1", origin="donor", serial="D-9"))
    assert page.status_code == 422
    assert 'value="NEW-1"' in page.content.decode()
    assert not Board.objects.exists()
