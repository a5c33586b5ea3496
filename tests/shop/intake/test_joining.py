"""The same customer twice: found, joined, and parted again for a reason."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from shop.intake import joining, queries
from shop.intake.models import Customer, Ticket
from shop.people.models import Person, Shop
from shop.records.errors import Refused, StaleEdit
from shop.records.kinds import Kind
from shop.records.models import Event
from tests.factories import CustomerFactory, DeviceFactory, TicketFactory

Post = Callable[..., Any]


@pytest.fixture
def twice(hollin_lane: Shop, tomas: Person) -> tuple[Customer, Customer]:
    """Ada Pell with a ticket, and again as Ada Pel with one and her e-mail."""
    kept = CustomerFactory.create(shop=hollin_lane, address="", email="")
    gone = CustomerFactory.create(
        shop=hollin_lane, name="Ada Pel", phone_typed="", email="ada@pell.example"
    )
    for customer in (kept, gone):
        device = DeviceFactory.create(customer=customer)
        TicketFactory.create(by=tomas, device=device)
    return kept, gone


def join(kept: Customer, gone: Customer, by: Person) -> Event:
    versions = (kept.version, gone.version)
    return joining.customers_join(kept=kept, gone=gone, by=by, versions=versions)


def test_near_names_and_one_number_may_be_one_person(
    twice: tuple[Customer, Customer], hollin_lane: Shop
) -> None:
    kept, gone = twice
    other = CustomerFactory.create(
        shop=hollin_lane, name="Pell Ada", phone_typed="", address=""
    )
    CustomerFactory.create(shop=hollin_lane, name="Adam Peters", phone_typed="")
    CustomerFactory.create(name="Ada Pell")
    assert set(joining.near_of(kept)) == {gone, other}


def test_joined_everything_is_one_and_parted_as_it_was(
    twice: tuple[Customer, Customer], tomas: Person, hollin_lane: Shop
) -> None:
    kept, gone = twice
    join(kept, gone, tomas)
    kept.refresh_from_db()
    assert (kept.tickets.count(), kept.devices.count()) == (2, 2)
    assert kept.email == "ada@pell.example"
    assert queries.customer_get(hollin_lane, gone.pk) == kept
    assert queries.customers_like(hollin_lane, "ada pel", "") == [kept]
    later = TicketFactory.create(by=tomas, device=gone.devices.model.objects.last())
    with pytest.raises(Refused):
        joining.customers_part(gone=gone, by=tomas, reason=" ", version=kept.version)
    joining.customers_part(
        gone=gone, by=tomas, reason="Mother and daughter.", version=kept.version
    )
    kept.refresh_from_db()
    gone.refresh_from_db()
    later.refresh_from_db()
    assert kept.email == ""
    assert gone.joined_to is None
    assert gone.tickets.count() == 1
    assert later.customer == later.device.customer == kept
    told = Event.objects.filter(kind=Kind.CUSTOMERS_PARTED).get()
    assert told.note is not None
    assert told.note.text == "Mother and daughter."


def test_two_who_join_at_once_do_it_once(
    twice: tuple[Customer, Customer], tomas: Person
) -> None:
    kept, gone = twice
    join(kept, gone, tomas)
    with pytest.raises(Refused):
        join(kept, gone, tomas)
    with pytest.raises(Refused):
        join(kept, kept, tomas)


def test_who_was_changed_meanwhile_is_looked_at_again(
    twice: tuple[Customer, Customer], tomas: Person
) -> None:
    kept, gone = twice
    with pytest.raises(StaleEdit):
        joining.customers_join(kept=kept, gone=gone, by=tomas, versions=(1, 2))
    assert gone.tickets.count() == 1


def test_the_pages_lead_through_it(
    twice: tuple[Customer, Customer],
    client_of: Callable[[str], Client],
    send: Post,
) -> None:
    kept, gone = twice
    desk = client_of("tomas")
    join_url = f"/counter/customers/{kept.pk}/join/{gone.pk}/"
    assert join_url in desk.get(f"/counter/customers/{kept.pk}/").content.decode()
    stale = {"kept": gone.pk, "version_0": 1, "version_1": 9}
    refused = send(desk, join_url, **stale)
    assert refused.status_code == 422
    assert "changed meanwhile" in refused.content.decode()
    right = send(desk, join_url, key="2", **(stale | {"version_1": 1}))
    assert right["Location"] == f"/counter/customers/{gone.pk}/"
    assert desk.get(f"/counter/customers/{kept.pk}/").status_code == 302
    part_url = f"/counter/customers/{gone.pk}/part/{kept.pk}/"
    assert part_url in desk.get(f"/counter/customers/{gone.pk}/").content.decode()
    parted = send(desk, part_url, key="3", version=2, reason="Two people.")
    assert parted.status_code == 302
    assert Ticket.objects.filter(customer=kept).count() == 1


TYPOS = ["ada pel", "Pell Ada", "adda pell", "Aad Pell", "ada pll", "PELL"]


@pytest.mark.parametrize("typed", TYPOS)
def test_a_name_with_a_typo_finds_its_owner(hollin_lane: Shop, typed: str) -> None:
    ada = CustomerFactory.create(shop=hollin_lane)
    CustomerFactory.create(shop=hollin_lane, name="Quin Abbot", phone_typed="")
    assert queries.customers_like(hollin_lane, typed, "") == [ada]


def test_a_wrong_digit_finds_its_owner(hollin_lane: Shop) -> None:
    number = {"phone_typed": "020 7946 0958", "phone_e164": "+442079460958"}
    ada = CustomerFactory.create(shop=hollin_lane, **number)
    for typed in ("79460958", "79460985", "7946058", "020 7946 0968"):
        assert queries.customers_like(hollin_lane, "", typed) == [ada], typed
    assert queries.customers_like(hollin_lane, "Zz", "555555") == []
