"""A shop, a technician who is signed in, and a board on the bench."""

import uuid
from dataclasses import dataclass

from django.middleware.csrf import _get_new_csrf_string
from django.test import Client
from django.urls import reverse

from shop.people.models import Role
from tests.factories import PersonFactory, ShopFactory, TicketFactory
from tests.samples import board_of


@dataclass(frozen=True)
class Scene:
    board_id: int
    path: str
    cookies: str
    token: str


def scene() -> Scene:
    shop = ShopFactory.create(name=f"drill {uuid.uuid4()}")
    person = PersonFactory.create(shop=shop, roles=list(Role))
    ticket = TicketFactory.create(by=person)
    board = board_of(ticket, person)
    client = Client()
    client.force_login(person)
    token = _get_new_csrf_string()
    session = client.cookies["sessionid"].value
    return Scene(
        board_id=board.pk,
        path=reverse("diagnostics:reading_take", args=[ticket.number, board.pk]),
        cookies=f"sessionid={session}; csrftoken={token}",
        token=token,
    )
