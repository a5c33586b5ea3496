"""Every URL with every role and with none, generated from the URL map.

A new URL fails here until it says what its path needs; a view without
``roles`` or ``public`` fails always.
"""

import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from _pytest.mark import ParameterSet
from django.core.cache import caches
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from shop.people.models import Role
from tests.samples import wanted

pytestmark = pytest.mark.usefixtures("blank_papers")

SampleUrl = Callable[[str], str]
ClientOf = Callable[[str], Client]


def routes(
    resolver: URLResolver | None = None, space: str = ""
) -> Iterator[tuple[str, URLPattern]]:
    for entry in (resolver or get_resolver()).url_patterns:
        if isinstance(entry, URLResolver):
            inner = f"{space}{entry.namespace}:" if entry.namespace else space
            yield from routes(entry, inner)
        else:
            yield f"{space}{entry.name}", entry


ROUTES = dict(routes())


def entitled(pattern: URLPattern) -> frozenset[Role] | None:
    assert hasattr(pattern.callback, "entitled"), (
        f"{pattern.name} doesn't say who may enter: use @roles or @public"
    )
    held: frozenset[Role] | None = pattern.callback.entitled
    return held


def test_every_route_has_a_name_of_its_own() -> None:
    names = [name for name, _pattern in routes()]
    assert len(names) == len(set(names)) > 15
    assert all(name.split(":")[-1] != "None" for name in names)


@pytest.mark.parametrize("name", ROUTES)
def test_every_view_names_who_may_enter(name: str) -> None:
    entitled(ROUTES[name])


PUBLIC = {
    "people:sign_in",
    "people:sign_out",
    "people:switch",
    "people:badge",
    "people:switch_later",
    "account_login",
    "mfa_authenticate",
    "mfa_login_webauthn",
    "opening:set_up",
    "desk:slip",
    "photos:phone",
    "serving:answer",
    "serving:authority_der",
    "serving:authority_pem",
    "serving:authority_profile",
    "serving:doctor",
    "serving:healthz",
    "serving:readyz",
    "serving:service_worker",
    "serving:trust",
}


def test_only_these_views_are_open_to_strangers() -> None:
    open_ones = {name for name, p in ROUTES.items() if entitled(p) is None}
    assert open_ones == PUBLIC


# Another way to sign in again than by password leads elsewhere while there is none.
ONLY_WITH = {"mfa_reauthenticate", "mfa_reauthenticate_webauthn"}

# What they are called by names no row: each shop has its own there.
OWN = {"office:figures", "office:figures_csv", "office:figures_ods"}

CAST = {
    "tomas": frozenset({Role.FRONT_DESK}),
    "ines": frozenset({Role.TECHNICIAN}),
    "marit": frozenset({Role.OWNER}),
    "vera": frozenset({Role.AUDITOR}),
    "nobody": frozenset[Role](),
}


A_FEW = 12


def in_batches(names: set[str]) -> list[ParameterSet]:
    """The worked ticket takes most of the time: a few routes are asked with each."""
    ordered = sorted(names)
    return [
        pytest.param(ordered[at : at + A_FEW], id=ordered[at])
        for at in range(0, len(ordered), A_FEW)
    ]


@contextmanager
def undone() -> Iterator[None]:
    """Whatever a route does to the rows, the next finds them as they were."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)
    for alias in ("default", "process"):
        caches[alias].clear()


@pytest.mark.django_db
@pytest.mark.parametrize("names", in_batches(set(ROUTES) - PUBLIC))
def test_a_door_opens_for_its_roles_alone(
    names: list[str], sample_url: SampleUrl, client_of: ClientOf, stranger: Client
) -> None:
    """Asked by GET and by POST without a form, so that nothing is done."""
    clients = {person: client_of(person) for person in CAST}
    wrong = []
    for name in names:
        url = sample_url(name)
        for method in ("get", "post"):
            with undone():
                asked = getattr(stranger, method)(url)
                sent = asked.headers.get("Location", "")
                if asked.status_code != 302 or not sent.startswith("/sign-in/"):
                    wrong.append(f"a stranger may {method} {url}")
                for person, held in CAST.items():
                    status = getattr(clients[person], method)(url).status_code
                    if status not in answers(name, held, method):
                        wrong.append(f"{method} {url}: {person} got {status}")
    assert wrong == []


def answers(name: str, held: frozenset[Role], method: str) -> set[int]:
    if not held & (entitled(ROUTES[name]) or frozenset()):
        return {403}
    if name in ONLY_WITH:
        return {302, 404}
    return {200, 302, 405} if method == "get" else {400, 405, 422}


@pytest.mark.django_db
@pytest.mark.parametrize(
    "names", in_batches({n for n in ROUTES if wanted(n) and n not in OWN})
)
def test_another_shop_finds_nothing(
    names: list[str], sample_url: SampleUrl, client_elsewhere: Client
) -> None:
    """The same numbers asked for from another shop are not there, to any role."""
    wrong = []
    for name in names:
        url = sample_url(name)
        form = {"idempotency_key": str(uuid.uuid4())}
        with undone():
            got = client_elsewhere.get(url).status_code
            sent = client_elsewhere.post(url, form).status_code
        if 404 not in {got, sent} or not {got, sent} <= {404, 405}:
            wrong.append(f"{name}: {got} and {sent}")
    assert wrong == []
