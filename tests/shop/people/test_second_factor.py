"""The second step: asked for, right codes alone, each once. ASVS 5.0.0: [..]."""

import logging
import time
from collections.abc import Callable
from typing import Any

import pytest
import time_machine
from allauth.mfa.models import Authenticator
from django.core.cache import cache
from django.test import Client

from shop.people import sealing
from shop.people.access import FRESH
from shop.people.models import Person
from tests.factories import PASSWORD
from tests.shop.people.conftest import SECRET, code_now

ClientOf = Callable[[str], Client]
AppOf = Callable[[Person], None]
RIGHT = {"username": "marit", "password": PASSWORD}

# RFC 6238, appendix B, SHA-1, its eight digits cut to the app's six.
VECTORS = [
    (59, "287082"),
    (1111111109, "081804"),
    (1111111111, "050471"),
    (1234567890, "005924"),
    (2000000000, "279037"),
    (20000000000, "353130"),
]


@pytest.mark.parametrize(("moment", "code"), VECTORS)
def test_codes_are_those_of_the_standard(
    moment: int, code: str, marit: Person, app_of: AppOf
) -> None:
    app_of(marit)
    app = Authenticator.objects.get(user=marit).wrap()
    with time_machine.travel(moment, tick=False):
        assert code == code_now()
        assert not app.validate_code("000000")
        assert app.validate_code(code)


def test_a_password_alone_opens_nothing_once_there_is_an_app(
    marit: Person, app_of: AppOf, client: Client
) -> None:
    app_of(marit)
    assert client.post("/sign-in/", RIGHT)["Location"] == "/sign-in/code/"
    assert client.get("/office/").status_code == 302
    wrong = client.post("/sign-in/code/", {"code": "000000"})
    assert wrong.status_code == 422
    assert client.get("/office/").status_code == 302
    assert client.post("/sign-in/code/", {"code": code_now()})["Location"] == "/"
    assert client.get("/office/").status_code == 200


def test_a_code_is_good_once_even_while_the_app_shows_it(
    marit: Person, app_of: AppOf
) -> None:
    """[6.5.1] Codes are used once: also after half a minute, within the tolerance."""
    app_of(marit)
    with time_machine.travel(1_800_000_000, tick=False) as clock:
        code = code_now(steps=1)
        statuses = []
        for _browser in range(2):
            client = Client()
            client.post("/sign-in/", RIGHT)
            statuses.append(client.post("/sign-in/code/", {"code": code}).status_code)
            clock.shift(40)
    assert statuses == [302, 422]


def test_each_spare_code_opens_once(
    marit: Person, app_of: AppOf, client_of: ClientOf
) -> None:
    app_of(marit)
    owner = client_of("marit")
    key = {"idempotency_key": "a-key-of-its-own-1"}
    assert owner.post("/me/factors/codes/new/", key).status_code == 302
    assert owner.get("/me/factors/codes/").status_code == 200, "looking uses nothing"
    page = owner.post("/me/factors/codes/", {"show": "yes"})
    codes = page.context["codes"]
    assert len(set(codes)) == 10
    again = owner.post("/me/factors/codes/", {"show": "yes"})
    assert again.status_code == 302, "they are shown once"
    for code in codes:
        cache.clear()
        tries = []
        for _twice in range(2):
            client = Client()
            client.post("/sign-in/", RIGHT)
            tries.append(client.post("/sign-in/code/", {"code": code}).status_code)
            cache.clear()
        assert tries == [302, 422]


def test_staff_without_a_second_step_reaches_no_data(
    marit: Person, client: Client, settings: Any
) -> None:
    """[6.3.3] Sign-in without a second factor reaches no data."""
    settings.SECOND_FACTOR = "required"
    client.post("/sign-in/", RIGHT)
    for url in ("/office/", "/counter/", "/people/", "/me/", "/find/?q=a", "/me/pin/"):
        asked = client.get(url)
        assert (asked.status_code, asked["Location"]) == (302, "/me/factors/")
    page = client.get("/me/factors/")
    assert "second step besides the password" in page.content.decode()
    form = client.get("/me/factors/app/").context["form"]
    done = client.post("/me/factors/app/", {"code": code_now(form.secret)})
    assert done["Location"] == "/me/factors/codes/"
    assert client.get("/me/factors/codes/").status_code == 200
    assert client.get("/office/").status_code == 200


def test_production_asks_for_it_unless_told_otherwise() -> None:
    from tests.test_settings import django

    show = "from django.conf import settings; print(settings.SECOND_FACTOR)"
    assert django("shell", "-c", show).stdout.strip().endswith("required")
    refused = django("check", SECOND_FACTOR="sometimes")
    assert "required or offered" in refused.stderr


def test_the_secret_lies_sealed_in_the_database(
    marit: Person, client_of: ClientOf
) -> None:
    """[13.3.1] No secret in the clear; without its key no code fits."""
    owner = client_of("marit")
    secret = owner.get("/me/factors/app/").context["form"].secret
    owner.post("/me/factors/app/", {"code": code_now(secret)})
    app = Authenticator.objects.get(user=marit, type="totp")
    assert secret not in str(app.data)
    assert sealing.unseal(app.data["secret"]) == secret


def test_a_rotated_key_still_opens_and_a_lost_one_fails_closed(settings: Any) -> None:
    sealed, first = sealing.seal(SECRET), settings.SECRET_KEY
    settings.SECRET_KEY, settings.SECRET_KEY_FALLBACKS = "another" * 9, [first]
    assert sealing.unseal(sealed) == SECRET
    settings.SECRET_KEY_FALLBACKS = []
    assert sealing.unseal(sealed) is None
    assert sealing.unseal(sealed[:-4] + "AAAA") is None


def test_own_factors_are_changed_after_a_fresh_sign_in_alone(
    marit: Person, app_of: AppOf, client_of: ClientOf
) -> None:
    """[7.5.1] Changing factors, PIN or password asks for the sign-in again."""
    app_of(marit)
    owner = client_of("marit")
    session = owner.session
    session[FRESH] = time.time() - 3600
    session.save()
    key = {"idempotency_key": "a-key-of-its-own-2"}
    tender = ("app/", "passkey/", "codes/", "codes/new/", "end/")
    for url in (*(f"/me/factors/{end}" for end in tender), "/me/pin/", "/me/password/"):
        for asked in (owner.get(url), owner.post(url, key)):
            if asked.status_code != 405:
                assert asked["Location"].startswith("/sign-in/again/"), url
    before = owner.session.session_key
    again = owner.post("/sign-in/again/code/?next=/me/pin/", {"code": code_now()})
    assert again["Location"] == "/me/pin/"
    assert owner.session.session_key != before
    assert owner.get("/me/pin/").status_code == 200


def test_ending_a_factor_ends_the_sessions_elsewhere(
    marit: Person, app_of: AppOf, client_of: ClientOf
) -> None:
    """[7.4.3] After a change of factors no other session goes on."""
    app_of(marit)
    here, elsewhere = client_of("marit"), client_of("marit")
    factor = Authenticator.objects.get(user=marit)
    form = {"factor": factor.pk, "idempotency_key": "a-key-of-its-own-3"}
    assert here.post("/me/factors/end/", form).status_code == 302
    assert here.get("/office/").status_code == 200
    assert elsewhere.get("/office/").status_code == 302


def test_nobody_ends_another_ones_factor(
    marit: Person, app_of: AppOf, client_of: ClientOf
) -> None:
    """[8.2.2] A factor is its holder's."""
    app_of(marit)
    factor = Authenticator.objects.get(user=marit)
    form = {"factor": factor.pk, "idempotency_key": "a-key-of-its-own-4"}
    assert client_of("ines").post("/me/factors/end/", form).status_code == 404


def test_the_log_has_numbers_and_no_names(
    marit: Person, app_of: AppOf, client: Client, caplog: pytest.LogCaptureFixture
) -> None:
    """[16.2.5, 16.3.1] Sign-ins and refusals are logged, without what was typed."""
    app_of(marit)
    with caplog.at_level(logging.INFO, logger="shop.people.sign_in"):
        client.post("/sign-in/", {"username": "canary-typed", "password": "secret!"})
        client.post("/sign-in/", RIGHT)
        client.post("/sign-in/code/", {"code": "123456"})
        client.post("/sign-in/code/", {"code": code_now()})
    said = caplog.text
    assert "a name and password were refused" in said
    assert f"person {marit.pk}: a second factor was refused" in said
    assert f"person {marit.pk}: signed in" in said
    for word in ("canary", "secret!", "marit", PASSWORD, "123456"):
        assert word not in said.lower()
