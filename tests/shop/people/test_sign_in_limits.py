"""Guessing is slow, nobody is locked out by a stranger. ASVS 5.0.0 ids in brackets."""

import time
from typing import Any

import pytest
from django.core.cache import cache, caches
from django.test import Client

from shop.people.models import Person, Shop
from tests.factories import PASSWORD

RIGHT = {"username": "marit", "password": PASSWORD}
WRONG = {"username": "marit", "password": "not this one"}


@pytest.fixture
def shared_cache(settings: Any, db: None) -> None:
    """The cache that workers share lies in the database, as in production."""
    settings.CACHES = {"default": settings.SHARED, "process": settings.OWN_MEMORY}
    cache.clear()


def tried(client: Client, form: dict[str, str], **meta: str) -> str:
    answer = client.post("/sign-in/", form, **meta)  # type: ignore[arg-type]
    if answer.status_code == 302:
        return "in"
    return "slow" if "Too many wrong tries" in answer.content.decode() else "no"


def test_five_wrong_passwords_close_the_door_to_a_name_for_strangers(
    marit: Person, shared_cache: None
) -> None:
    """[6.3.1, 2.4.1] By any browser, from any address, whatever it claims to be."""
    assert type(caches["default"]).__name__ == "DatabaseCache"
    said = [
        tried(
            Client(),
            WRONG,
            REMOTE_ADDR=f"192.0.2.{n}",
            HTTP_X_FORWARDED_FOR=f"198.51.100.{n}",
        )
        for n in range(6)
    ]
    assert said == ["no"] * 5 + ["slow"]
    assert tried(Client(), RIGHT) == "slow", (
        "a right guess is not told from a wrong one"
    )


def test_a_stranger_cannot_lock_the_owner_out(
    marit: Person, shared_cache: None
) -> None:
    """[6.1.1] Where she has signed in before, her tries count by themselves."""
    own = Client()
    assert tried(own, RIGHT) == "in"
    own.post("/sign-out/")
    for _try in range(9):
        tried(Client(), WRONG)
    assert tried(Client(), RIGHT) == "slow"
    assert tried(own, RIGHT) == "in"


def test_a_known_browser_is_slowed_down_too(
    marit: Person, tomas: Person, shared_cache: None
) -> None:
    own = Client()
    tried(own, RIGHT)
    own.post("/sign-out/")
    assert [tried(own, WRONG) for _try in range(6)][-1] == "slow"
    as_tomas = WRONG | {"username": "tomas"}
    assert [tried(own, as_tomas) for _try in range(6)] == ["no"] * 5 + ["slow"]


def test_what_a_browser_remembers_cannot_be_made_up(
    marit: Person, shared_cache: None, settings: Any
) -> None:
    for n in range(6):
        client = Client()
        client.cookies[settings.KNOWN_BROWSER_COOKIE] = f"WyJtYXJpdCIsI{n}:1:forged"
        said = tried(client, WRONG)
    assert said == "slow"


def test_one_address_is_slowed_down_over_all_names(
    marit: Person, shared_cache: None
) -> None:
    """[2.4.1] Thirty a minute from one place, not keyed by X-Forwarded-For."""
    statuses = [
        Client()
        .post(
            "/sign-in/",
            {"username": f"name-{n}", "password": "guess"},
            headers={"x-forwarded-for": f"203.0.113.{n}"},
        )
        .status_code
        for n in range(31)
    ]
    assert statuses[:30] == [422] * 30
    assert statuses[30] == 429


def test_who_is_not_there_gets_the_same_answer_and_work(
    marit: Person, tomas: Person, settings: Any, client: Client
) -> None:
    """[6.3.8] A name that is unknown, has left, or has a wrong password."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.PBKDF2PasswordHasher"]
    for person in (marit, tomas):
        person.set_password(PASSWORD)
        person.save()
    tomas.is_active = False
    tomas.set_unusable_password()
    tomas.save()
    took, said = {}, set()
    for name in ("marit", "tomas", "nobody-here"):
        started = time.process_time()
        page = client.post("/sign-in/", {"username": name, "password": "wrong"})
        took[name] = time.process_time() - started
        said.add((page.status_code, str(page.context["form"].non_field_errors())))
    assert len(said) == 1
    assert max(took.values()) < 3 * min(took.values()), took


def test_a_disabled_person_with_the_right_password_learns_nothing(
    marit: Person, client: Client
) -> None:
    Person.objects.filter(pk=marit.pk).update(is_active=False)
    told = [
        client.post("/sign-in/", form).content.decode().count("don’t belong together")
        for form in (RIGHT, WRONG)
    ]
    assert told == [1, 1]


def test_nothing_of_allauth_is_reachable_but_what_is_ours(
    client: Client, marit: Person
) -> None:
    for url in (
        "/accounts/login/",
        "/accounts/signup/",
        "/signup/",
        "/sign-in/signup/",
    ):
        assert client.get(url).status_code == 404


def test_sign_up_is_closed_even_where_allauth_asks(
    client: Client, hollin_lane: Shop
) -> None:
    from allauth.account.adapter import get_adapter

    request = client.get("/sign-in/").wsgi_request
    assert not get_adapter().is_open_for_signup(request)


@pytest.mark.parametrize(
    ("password", "is_fine"),
    [
        ("short words", False),
        ("passwordpassword", True),
        ("123456789012345", False),
        ("marit-hollin-1", False),
        ("a lamp over the bench", True),
    ],
)
def test_a_password_of_ones_own_has_twelve_signs_and_is_not_common(
    password: str, is_fine: bool, marit: Person
) -> None:
    """[6.2.1, 6.2.4] Length and Django's 20,000 common ones; no other shapes."""
    from shop.people.sign_in_forms import PasswordForm

    form = PasswordForm({"password": password, "repeated": password}, person=marit)
    assert form.is_valid() is is_fine, form.errors
