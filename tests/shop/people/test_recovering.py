"""An owner comes in again without e-mail: by a command at the machine, and seen."""

import logging
from collections.abc import Callable
from typing import Any

import pytest
from allauth.mfa.models import Authenticator
from django.core.management import CommandError, call_command
from django.test import Client

from shop.people import pins, recovering
from shop.people.models import Person, Shop
from shop.records.kinds import Kind
from shop.records.models import Event

pytestmark = pytest.mark.django_db


def test_an_owner_is_let_in_anew(
    hollin_lane: Shop,
    marit: Person,
    client_of: Callable[[str], Client],
    capsys: Any,
    caplog: Any,
) -> None:
    caplog.set_level(logging.INFO, "shop.people.sign_in")
    before = client_of("marit")
    assert before.get("/office/").status_code == 200
    Authenticator.objects.create(user=marit, type="totp", data={"secret": "x"})
    pins.pin_set(person=marit, shop=hollin_lane, digits="7391")
    call_command("owner_in", "Marit")
    said = capsys.readouterr().out
    password = said.split("with this password")[1].split()[0]
    marit.refresh_from_db()
    assert marit.check_password(password)
    assert marit.must_change_password
    assert not Authenticator.objects.filter(user=marit).exists()
    assert not hasattr(Person.objects.get(pk=marit.pk), "pin")
    assert before.get("/office/").status_code == 302
    event = Event.objects.get(kind=Kind.SIGN_IN_RECOVERED)
    assert (event.person_id, event.by_id) == (marit.pk, None)
    assert f"person {marit.pk}: sign-in recovered" in caplog.text
    assert password not in caplog.text
    assert recovering.recovered_lately(hollin_lane) == [event]
    assert recovering.recovered_lately(hollin_lane, event.at.replace(year=2030)) == []


def test_only_owners_and_nothing_by_chance(
    marit: Person, tomas: Person, capsys: Any
) -> None:
    call_command("owner_in")
    assert capsys.readouterr().out.split()[0] == "marit"
    for name in ("tomas", "nobody"):
        with pytest.raises(
            CommandError, match=r"No owner signs in as that. Owners: mar"
        ):
            call_command("owner_in", name)
    assert not Event.objects.filter(kind=Kind.SIGN_IN_RECOVERED).exists()


def test_every_owner_sees_it(
    hollin_lane: Shop, marit: Person, client_of: Callable[[str], Client]
) -> None:
    owner = client_of("marit")
    Event.objects.create(
        shop_id=hollin_lane.pk,
        kind=Kind.SIGN_IN_RECOVERED,
        person_id=marit.pk,
        at=marit.joined_at,
    )
    text = owner.get("/office/").content.decode()
    assert "sign-in was recovered at the machine itself" in text
