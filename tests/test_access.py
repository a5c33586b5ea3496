"""Every URL with every role and with none, generated from the URL map.

A new URL fails here until it says what its path needs; a view without
``roles`` or ``public`` fails always.
"""

from collections.abc import Callable, Iterator

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from shop.people.models import Role

Samples = dict[str, object]


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


PUBLIC = {"people:sign_in", "people:sign_out"}


def test_only_these_views_are_open_to_strangers() -> None:
    open_ones = {name for name, p in ROUTES.items() if entitled(p) is None}
    assert open_ones == PUBLIC


CAST = {
    "tomas": frozenset({Role.FRONT_DESK}),
    "ines": frozenset({Role.TECHNICIAN}),
    "marit": frozenset({Role.OWNER}),
    "nobody": frozenset[Role](),
}


@pytest.mark.django_db
@pytest.mark.parametrize("person", [*CAST, None])
@pytest.mark.parametrize("name", sorted(set(ROUTES) - PUBLIC))
def test_a_door_opens_for_its_roles_alone(
    name: str,
    person: str | None,
    sample_url: Callable[[str], str],
    client: Client,
    client_of: Callable[[str], Client],
) -> None:
    url = sample_url(name)
    visitor = client if person is None else client_of(person)
    for method in ("get", "post"):
        status = getattr(visitor, method)(url).status_code
        if person is None:
            assert status == 302, f"{method} {url}: a stranger got {status}"
        elif CAST[person] & (entitled(ROUTES[name]) or frozenset()):
            assert status not in {302, 403, 500} or (status == 302 and method == "get")
        else:
            assert status == 403, f"{method} {url}: {person} got {status}"


@pytest.mark.django_db
@pytest.mark.parametrize("name", sorted(set(ROUTES) - PUBLIC))
def test_another_shop_finds_nothing(
    name: str,
    sample_url: Callable[[str], str],
    client_elsewhere: Client,
) -> None:
    """The same numbers asked for by an owner of another shop are not there."""
    url = sample_url(name)
    has_object = "<" in str(ROUTES[name].pattern)
    for method in ("get", "post"):
        status = getattr(client_elsewhere, method)(url).status_code
        if has_object:
            assert status in {404, 405}, f"{method} {url}: {status}"
