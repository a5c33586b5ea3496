"""Photos at the bench are of the board in hand; a reference board takes none."""

from collections.abc import Callable

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from diagnostics import services as bench
from diagnostics.models import Board, Origin
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.photos.models import Photo
from tests.samples import board_of, photo_of
from tests.shop.photos.conftest import picture

ClientOf = Callable[[str], Client]
KEY = "a-key-of-sixteen-or-more"


def sent(client: Client, number: str, board: Board, key: str = KEY) -> int:
    url = reverse("diagnostics:photos", args=[number, board.pk])
    photo = SimpleUploadedFile("a.png", picture(kind="PNG"))
    form = {"side": "microscope", "idempotency_key": key, "photos": photo}
    return client.post(url, form, headers={"Accept": "application/json"}).status_code


@pytest.fixture
def board(ticket: Ticket, ines: Person, photos_folder: object) -> Board:
    return board_of(ticket, ines)


def test_it_is_kept_with_the_board(
    ticket: Ticket, board: Board, client_of: ClientOf
) -> None:
    client = client_of("ines")
    assert sent(client, ticket.number, board, key="short") == 400
    assert sent(client, ticket.number, board) == 200
    photo = Photo.objects.get()
    assert (photo.ticket, photo.board_id, photo.side) == (
        ticket,
        board.pk,
        "microscope",
    )
    page = client.get(reverse("diagnostics:board", args=[ticket.number, board.pk]))
    assert f"/photos/{photo.pk}/small.jpg" in page.content.decode()


def test_the_strip_shows_the_newest_few(
    ticket: Ticket, board: Board, client_of: ClientOf, ines: Person
) -> None:
    for _photo in range(11):
        photo_of(ticket, ines)
    page = client_of("ines").get(ticket.get_absolute_url()).content.decode()
    assert page.count("small.jpg") == 8
    assert "3 more" in page


def test_a_reference_board_takes_none(
    board: Board, client_of: ClientOf, ines: Person
) -> None:
    good = bench.reference_board_keep(
        board_model=board.board_model, by=ines, origin=Origin.KNOWN_GOOD, serial="G-1"
    )
    client = client_of("ines")
    assert sent(client, "reference", good) == 404
    url = reverse("diagnostics:board", args=["reference", good.pk])
    assert "data-photos" not in client.get(url).content.decode()
