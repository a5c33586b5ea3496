"""Somebody leaves the shop: one act, everywhere, at once. ASVS 5.0.0 ids so: [..]."""

from collections.abc import Callable

import pytest
from allauth.mfa.models import Authenticator
from django.test import Client
from django.utils import timezone

from diagnostics import holding
from diagnostics import services as bench
from diagnostics.models import Board
from shop.desk.leaving import open_of
from shop.intake import queries as tickets
from shop.intake.models import Ticket
from shop.people import badges, pins, queries, services
from shop.people.models import Person, Pin, Role, Shop
from shop.records.errors import Refused
from shop.records.models import Event
from tests.factories import PASSWORD
from tests.samples import board_of

ClientOf = Callable[[str], Client]
SURE = {"sure": "yes", "idempotency_key": "a-key-of-its-own-1"}


@pytest.fixture
def board(ticket: Ticket, ines: Person) -> Board:
    """In the hands of Ines."""
    board = board_of(ticket, ines)
    bench.board_take(board=board, ticket=ticket, by=ines)
    return board


def test_open_clients_are_shut_out_at_the_very_next_request(
    client_of: ClientOf, ines: Person, hollin_lane: Shop
) -> None:
    """[7.4.2] Sessions, PIN, badges and factors of a disabled person."""
    browsers = [client_of("ines") for _tab in range(3)]
    assert all(b.get("/bench/").status_code == 200 for b in browsers)
    pins.pin_set(person=ines, shop=hollin_lane, digits="7391")
    _badge, code = badges.badge_make(person=ines, shop=hollin_lane, by=ines)
    Authenticator.objects.create(user=ines, type="totp", data={"secret": "x"})
    done = client_of("marit").post(f"/people/{ines.pk}/leaving/", SURE)
    assert done.status_code == 302
    assert [b.get("/bench/").status_code for b in browsers] == [302] * 3
    assert [b.get("/counter/").status_code for b in browsers] == [302] * 3
    right = {"username": "ines", "password": PASSWORD}
    assert Client().post("/sign-in/", right).status_code == 422
    assert badges.badge_of(code, hollin_lane) is None
    assert not Authenticator.objects.filter(user=ines).exists()
    assert not Pin.objects.filter(person=ines).exists()


def test_what_is_in_hand_is_put_down_and_its_clock_stops(
    client_of: ClientOf, board: Board, ticket: Ticket, ines: Person, marit: Person
) -> None:
    assert tickets.turn_of(ticket, timezone.now()).part == "in_hands"
    client_of("marit").post(f"/people/{ines.pk}/leaving/", SURE)
    assert holding.holder_of(board) is None
    assert tickets.turn_of(ticket, timezone.now()).part != "in_hands"
    last = Event.objects.filter(kind="board_put_down").get()
    assert (last.by, last.person_id, last.ticket_id) == (marit, ines.pk, ticket.pk)


def test_nothing_happens_without_the_button_or_if_one_room_refuses(
    client_of: ClientOf,
    board: Board,
    ines: Person,
    hollin_lane: Shop,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """[2.3.3] All of it or nothing."""
    owner = client_of("marit")
    bare = {"idempotency_key": "a-key-of-its-own-2"}
    assert owner.post(f"/people/{ines.pk}/leaving/", bare).status_code == 422

    def broken(*_args: object, **_more: object) -> None:
        raise Refused("a listener said no")

    monkeypatch.setattr("diagnostics.leaving.holding.boards_in_hand", broken)
    with pytest.raises(Refused):
        services.person_leave(shop=hollin_lane, person=ines, by=ines)
    monkeypatch.undo()
    ines.refresh_from_db()
    assert ines.is_active
    assert queries.place_of(ines)[1] == {Role.TECHNICIAN}


def test_the_page_lists_open_tickets_and_passcodes_seen(
    client_of: ClientOf, board: Board, ticket: Ticket, ines: Person, hollin_lane: Shop
) -> None:
    Event.objects.create(
        shop_id=hollin_lane.pk,
        kind="passcode_shown",
        ticket_id=ticket.pk,
        by=ines,
        at=timezone.now(),
    )
    found = open_of(hollin_lane, ines, timezone.now())
    assert (found.tickets, found.in_hand) == ([ticket], frozenset({ticket.pk}))
    assert [t for _at, t in found.passcodes] == [ticket]
    owner, url = client_of("marit"), f"/people/{ines.pk}/leaving/"
    assert "in hand now" in owner.get(url).content.decode()
    owner.post(url, SURE)
    after = owner.get(url).content.decode()
    assert after.count(ticket.number) >= 2
    assert "has left" in after
    assert "Passcodes seen" in after


def test_the_name_stays_and_the_person_can_come_back(
    client_of: ClientOf, board: Board, ticket: Ticket, ines: Person, hollin_lane: Shop
) -> None:
    owner = client_of("marit")
    owner.post(f"/people/{ines.pk}/leaving/", SURE)
    assert ines.name in owner.get(f"/tickets/{ticket.number}/story/").content.decode()
    assert ines.name in owner.get("/people/").content.decode()
    back = {"sure": "yes", "roles": ["technician"]}
    page = owner.post(f"/people/{ines.pk}/password/", back)
    assert page.status_code == 200
    form = {"username": "ines", "password": page.context["password"]}
    client = Client()
    assert client.post("/sign-in/", form)["Location"] == "/"
    assert queries.left_of(hollin_lane) == []
    assert not Pin.objects.filter(person=ines).exists()


def test_nobody_leaves_twice(ines: Person, marit: Person, hollin_lane: Shop) -> None:
    services.person_leave(shop=hollin_lane, person=ines, by=marit)
    with pytest.raises(Refused, match="doesn’t work here"):
        services.person_leave(shop=hollin_lane, person=ines, by=marit)
