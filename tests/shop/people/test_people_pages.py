"""The owner's pages of people and stations. ASVS 5.0.0 ids in brackets."""

import time
from collections.abc import Callable
from typing import Any

import pytest
from allauth.mfa.models import Authenticator
from django.test import Client

from shop.people import queries, services
from shop.people.access import FRESH
from shop.people.models import (
    Badge,
    Membership,
    Person,
    Pin,
    Role,
    Shop,
    Station,
)
from shop.records.errors import Refused
from shop.records.models import Event, KeptAnswer
from tests.factories import PASSWORD

ClientOf = Callable[[str], Client]
KEY = "a-key-of-its-own-%02d"


@pytest.fixture
def owner(client_of: ClientOf) -> Client:
    return client_of("marit")


def kinds() -> list[str]:
    return list(Event.objects.order_by("id").values_list("kind", flat=True))


def test_a_new_person_gets_a_password_told_once_and_kept_nowhere(
    owner: Client, hollin_lane: Shop
) -> None:
    form = {"name": "Ilan Marsh", "username": "Ilan", "roles": ["technician"]}
    page = owner.post("/people/new/", form)
    password = page.context["password"]
    assert password in page.content.decode()
    assert not KeptAnswer.objects.exists()
    ilan = Person.objects.get(username="ilan")
    assert ilan.must_change_password
    client = Client()
    client.post("/sign-in/", {"username": "ilan", "password": password})
    assert client.get("/bench/")["Location"] == "/me/password/"
    assert kinds() == ["person_joined"]
    assert owner.post("/people/new/", form).status_code == 422, "the name is taken"


def test_first_passwords_differ_and_are_long() -> None:
    made = {services.password_made() for _n in range(50)}
    assert len(made) == 50
    assert all(len(password) == 19 for password in made)


def test_roles_add_up_and_each_change_is_a_dated_event(
    owner: Client, ines: Person, hollin_lane: Shop
) -> None:
    url, both = f"/people/{ines.pk}/", ["technician", "front_desk"]
    owner.post(url, {"roles": both, "idempotency_key": KEY % 1})
    owner.post(url, {"roles": ["front_desk"], "idempotency_key": KEY % 2})
    assert queries.place_of(ines) == (hollin_lane, frozenset({Role.FRONT_DESK}))
    assert kinds() == ["role_given", "role_taken"]
    assert [e.codes["role"] for e in Event.objects.all()] == [
        "front_desk",
        "technician",
    ]


def test_the_last_owner_keeps_the_role_and_stays(
    owner: Client, marit: Person, ines: Person, hollin_lane: Shop
) -> None:
    url = f"/people/{marit.pk}/"
    refused = owner.post(url, {"roles": ["technician"], "idempotency_key": KEY % 3})
    assert refused.status_code == 422
    assert "needs an owner" in refused.content.decode()
    sure = {"sure": "yes", "idempotency_key": KEY % 4}
    assert owner.post(f"{url}leaving/", sure).status_code == 422
    Membership.objects.create(shop=hollin_lane, person=ines, role=Role.OWNER)
    again = sure | {"idempotency_key": KEY % 5}
    assert owner.post(f"{url}leaving/", again).status_code == 302
    with pytest.raises(Refused, match="needs an owner"):
        services.person_leave(shop=hollin_lane, person=ines, by=ines)


def test_a_person_keeps_at_least_one_role(owner: Client, ines: Person) -> None:
    form = {"idempotency_key": KEY % 6}
    assert owner.post(f"/people/{ines.pk}/", form).status_code == 422


def test_roles_are_not_taken_from_other_forms(
    client_of: ClientOf, ines: Person
) -> None:
    """[15.3.3] Extra fields are ignored: nobody makes themselves an owner."""
    form = {"roles": ["owner"], "role": "owner", "is_active": "", "username": "x"}
    client_of("ines").post("/me/", form | {"idempotency_key": KEY % 7})
    assert queries.place_of(ines)[1] == {Role.TECHNICIAN}


def test_a_new_first_password_ends_the_sessions(
    owner: Client, client_of: ClientOf, ines: Person
) -> None:
    at_work = client_of("ines")
    page = owner.post(f"/people/{ines.pk}/password/", {"sure": "yes"})
    assert at_work.get("/bench/").status_code == 302
    form = {"username": "ines", "password": page.context["password"]}
    assert Client().post("/sign-in/", form)["Location"] == "/"
    assert Client().post("/sign-in/", form | {"password": PASSWORD}).status_code == 422


def test_a_second_step_is_taken_off_with_its_sessions(
    owner: Client, client_of: ClientOf, ines: Person, app_of: Callable[[Person], None]
) -> None:
    app_of(ines)
    at_work = client_of("ines")
    form = {"idempotency_key": KEY % 8}
    owner.post(f"/people/{ines.pk}/factors/", form)
    assert at_work.get("/bench/").status_code == 302
    right = {"username": "ines", "password": PASSWORD}
    assert Client().post("/sign-in/", right)["Location"] == "/"
    assert kinds() == ["factors_reset"]


@pytest.mark.parametrize(
    "url", ["/people/", "/people/new/", "/people/stations/", "/people/%d/"]
)
def test_people_and_roles_ask_for_a_fresh_sign_in(
    url: str, owner: Client, ines: Person
) -> None:
    """[7.5.1] Also the pages alone, so that no form is lost."""
    session = owner.session
    session[FRESH] = time.time() - 3600
    session.save()
    at = url % ines.pk if "%" in url else url
    assert owner.get(at)["Location"].startswith("/sign-in/again/")


def test_a_browser_is_enrolled_and_ended_by_the_owner(
    owner: Client, hollin_lane: Shop, settings: Any
) -> None:
    form = {"name": "Tablet", "kind": "bench"}
    assert owner.post("/people/stations/", form).status_code == 302
    station = Station.objects.get(shop=hollin_lane)
    assert station.is_bench
    assert owner.cookies[settings.STATION_COOKIE].value
    page = owner.get("/people/stations/").content.decode()
    assert "this browser" in page
    assert "Switch" in page
    station.refresh_from_db()
    assert station.seen_at is not None
    end = f"/people/stations/{station.pk}/end/"
    owner.post(end, {"idempotency_key": KEY % 9})
    assert "Enrol this browser" in owner.get("/people/stations/").content.decode()


def test_looking_changes_nothing(
    owner: Client, marit: Person, ines: Person, app_of: Callable[[Person], None]
) -> None:
    """[3.5.3] Every GET here leaves people, factors and events as they were."""
    app_of(marit)
    owner.post("/me/factors/codes/new/", {"idempotency_key": KEY % 10})
    pages = ("people/", "people/new/", "people/stations/", f"people/{ines.pk}/")
    own = ("factors/", "factors/app/", "factors/passkey/", "factors/codes/", "pin/")
    models = (Person, Membership, Authenticator, Badge, Pin, Station, Event)
    before = [list(model.objects.order_by("pk").values()) for model in models]
    for url in (*pages, f"people/{ines.pk}/leaving/", *(f"me/{end}" for end in own)):
        assert owner.get(f"/{url}").status_code in {200, 302}, url
    assert [list(model.objects.order_by("pk").values()) for model in models] == before
