"""When sessions begin anew and end by themselves. ASVS 5.0.0 ids in brackets."""

from collections.abc import Callable
from typing import Any

import pytest
import time_machine
from django.test import Client

from shop.people.models import Person
from shop.people.session_limits import BY_ITSELF
from tests.factories import PASSWORD
from tests.test_settings import django

AtTablet = Callable[[], Client]
NOON = 1_800_000_000
MINUTE, HOUR = 60, 3600
RIGHT = {"username": "marit", "password": PASSWORD}


def is_in(client: Client) -> bool:
    return client.get("/counter/").status_code == 200


def test_the_sessions_key_changes_at_each_sign_in(
    marit: Person, client: Client
) -> None:
    """[7.2.4] At the sign-in, and again before something tender."""
    client.get("/sign-in/")
    client.post("/sign-in/", {"username": "marit", "password": "wrong"})
    keys = [client.session.session_key]
    client.post("/sign-in/", RIGHT)
    keys.append(client.session.session_key)
    client.post("/sign-in/again/", {"password": PASSWORD})
    keys.append(client.session.session_key)
    assert len(set(keys)) == 3


def test_an_hour_of_nobody_ends_it(marit: Person, client: Client) -> None:
    """[7.3.1] Idle at the counter and in the office: an hour."""
    with time_machine.travel(NOON, tick=False) as clock:
        client.post("/sign-in/", RIGHT)
        for _hour in range(3):
            clock.shift(59 * MINUTE)
            assert is_in(client)
        clock.shift(61 * MINUTE)
        answer = client.get("/counter/", follow=True)
        assert "Nobody was here for a while" in answer.content.decode()
        assert not is_in(client)


def test_twelve_hours_end_it_however_busy(marit: Person, client: Client) -> None:
    """[7.3.2] The whole session: twelve hours, everywhere."""
    with time_machine.travel(NOON, tick=False) as clock:
        client.post("/sign-in/", RIGHT)
        for _half in range(23):
            clock.shift(HOUR / 2)
            assert is_in(client)
        clock.shift(HOUR / 2 + 2)
        assert not is_in(client)


def test_a_bench_tablet_goes_back_to_the_names_after_a_quarter(
    at_tablet: AtTablet, ines: Person, ines_pin: str
) -> None:
    """[7.3.1] Idle at the bench tablet: fifteen minutes."""
    client = at_tablet()
    with time_machine.travel(NOON, tick=False) as clock:
        client.post("/sign-in/switch/", {"person": ines.pk, "pin": ines_pin})
        clock.shift(14 * MINUTE)
        assert client.get("/bench/").status_code == 200
        clock.shift(16 * MINUTE)
        assert client.get("/bench/")["Location"] == "/sign-in/switch/?next=/bench/"


def test_what_a_page_asks_by_itself_keeps_nothing_open(
    marit: Person, client: Client
) -> None:
    alone = {BY_ITSELF: "1"}
    with time_machine.travel(NOON, tick=False) as clock:
        client.post("/sign-in/", RIGHT)
        for left in (3600 - 1500, 3600 - 3000):
            clock.shift(25 * MINUTE)
            told = client.get("/sign-in/here/", headers=alone).json()
            assert told == {"left": left}
        clock.shift(11 * MINUTE)
        assert client.get("/sign-in/here/", headers=alone).status_code == 302


def test_i_am_here_keeps_it_open(marit: Person, client: Client) -> None:
    """[7.3, WCAG 2.2.1] One tap, and the whole time begins again."""
    with time_machine.travel(NOON, tick=False) as clock:
        client.post("/sign-in/", RIGHT)
        clock.shift(59.5 * MINUTE)
        kept = client.post("/sign-in/here/", {"here": "yes"}, headers={BY_ITSELF: "1"})
        assert kept.json() == {"left": 3600}
        clock.shift(30 * MINUTE)
        assert is_in(client)


def test_a_fragment_is_not_filled_with_the_door(marit: Person, client: Client) -> None:
    """Once signed out, htmx turns the whole page to the sign-in."""
    at = {"HX-Request": "true", "HX-Current-URL": "http://testserver/counter/?a=1"}
    answer = client.get("/counter/", headers=at)
    assert answer["HX-Redirect"] == "/sign-in/?next=/counter/%3Fa%3D1"


def test_two_tabs_share_one_end(marit: Person, client: Client) -> None:
    client.post("/sign-in/", RIGHT)
    client.post("/sign-out/")
    assert not is_in(client)


def test_a_changed_password_ends_the_sessions_elsewhere(
    marit: Person, client: Client
) -> None:
    """[7.4.3] Here it goes on."""
    elsewhere = Client()
    for browser in (client, elsewhere):
        browser.post("/sign-in/", RIGHT)
    new = "a lamp over the bench"
    form = {"password": new, "repeated": new}
    assert client.post("/me/password/", form).status_code == 302
    assert is_in(client)
    assert not is_in(elsewhere)
    assert Client().post("/sign-in/", RIGHT).status_code == 422


def test_a_first_password_is_changed_before_anything_else(
    marit: Person, client: Client
) -> None:
    """[6.4.1] What the program made holds for one sign-in."""
    Person.objects.filter(pk=marit.pk).update(must_change_password=True)
    client.post("/sign-in/", RIGHT)
    assert client.get("/office/")["Location"] == "/me/password/"
    same = {"password": PASSWORD, "repeated": PASSWORD}
    assert client.post("/me/password/", same).status_code == 422
    new = "a lamp over the bench"
    client.post("/me/password/", {"password": new, "repeated": new})
    assert client.get("/office/").status_code == 200


@pytest.mark.parametrize("name", ["SESSION", "STATION", "KNOWN_BROWSER"])
def test_cookies_in_production_are_bound_to_the_host(name: str) -> None:
    """[3.3.1, 3.3.4] Secure, out of reach of scripts, and of this host alone."""
    show = (
        "from django.conf import settings as s;"
        f"n='{name}'; print(getattr(s, n + '_COOKIE', None) or s.SESSION_COOKIE_NAME,"
        "s.SESSION_COOKIE_SECURE, s.SESSION_COOKIE_HTTPONLY, s.SESSION_COOKIE_SAMESITE)"
    )
    said = django("shell", "-c", show).stdout.strip().splitlines()[-1]
    assert said.startswith("__Host-")
    assert said.endswith("True True Lax")


def test_no_personal_page_is_kept_by_a_browser(
    marit: Person, client: Client, settings: Any
) -> None:
    """[14.3.2] no-store, also on what signs in."""
    client.post("/sign-in/", RIGHT)
    for url in ("/people/", "/me/factors/", "/me/factors/app/", "/me/password/"):
        assert client.get(url)["Cache-Control"] == "no-store", url
    client.post("/sign-out/")
    assert "no-store" in client.get("/sign-in/")["Cache-Control"]


def test_signing_in_needs_the_forms_token(marit: Person) -> None:
    """[3.5.1] Every form of signing in without its token is refused."""
    strict = Client(enforce_csrf_checks=True)
    for url in ("", "code/", "passkey/", "switch/", "badge/", "again/", "here/"):
        assert strict.post(f"/sign-in/{url}", RIGHT).status_code == 403, url
