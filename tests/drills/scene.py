"""A shop, people who are signed in, a ticket with its board."""

import uuid

from django.middleware.csrf import _get_new_csrf_string
from django.test import Client

from shop.people.models import WORK_ROLES, Person, Shop, TextsRead
from tests.drills.server import Session
from tests.factories import PersonFactory, ShopFactory


def shop_and_person() -> tuple[Shop, Person]:
    """A shop of this drill's own, and somebody who may do everything in it."""
    shop = ShopFactory.create(name=f"drill {uuid.uuid4()}")
    person = person_in(shop)
    TextsRead.objects.create(shop=shop, by=person)
    return shop, person


def person_in(shop: Shop) -> Person:
    name = f"drill.{uuid.uuid4().hex[:12]}"
    return PersonFactory.create(shop=shop, roles=list(WORK_ROLES), username=name)


def session_of(person: Person) -> Session:
    client = Client()
    client.force_login(person)
    token = _get_new_csrf_string()
    session = client.cookies["sessionid"].value
    return Session(f"sessionid={session}; csrftoken={token}", token)
