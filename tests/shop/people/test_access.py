"""Signing in, roles, and whom a person belongs to."""

from datetime import timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.test import Client
from django.utils import timezone

from shop.people import queries
from shop.people.access import OWNER, roles
from shop.people.models import Membership, Person, Role, Shop, Terms
from tests.factories import PASSWORD


@pytest.mark.django_db
def test_a_person_signs_in_and_out(tomas: Person, client: Client) -> None:
    form = {"username": "tomas", "password": PASSWORD}
    assert client.post("/sign-in/", form)["Location"] == "/"
    assert client.get("/counter/").status_code == 200
    client.post("/sign-out/")
    assert client.get("/counter/").status_code == 302


@pytest.mark.django_db
def test_a_wrong_password_tells_nothing_about_the_name(
    tomas: Person, client: Client
) -> None:
    pages = [
        client.post("/sign-in/", {"username": name, "password": "wrong"})
        for name in ("tomas", "not-there")
    ]
    said = [page.context["form"].non_field_errors() for page in pages]
    assert said[0]
    assert said[0] == said[1]


@pytest.mark.django_db
def test_a_person_who_left_is_shut_out_at_once(tomas: Person, client: Client) -> None:
    client.force_login(tomas)
    Person.objects.filter(pk=tomas.pk).update(is_active=False)
    assert client.get("/counter/").status_code == 302


@pytest.mark.django_db
def test_roles_add_up(tomas: Person, hollin_lane: Shop) -> None:
    Membership.objects.create(shop=hollin_lane, person=tomas, role=Role.TECHNICIAN)
    shop, held = queries.place_of(tomas)
    assert shop == hollin_lane
    assert held == {Role.FRONT_DESK, Role.TECHNICIAN}


@pytest.mark.django_db
def test_a_person_without_a_role_is_nowhere(nobody: Person) -> None:
    assert queries.place_of(nobody) == (None, frozenset())


def test_a_view_must_name_who_may_enter() -> None:
    with pytest.raises(ValueError, match="must name"):
        roles()


def test_the_guard_is_a_wall_of_its_own() -> None:
    """Even where the URL map is bypassed, the view itself refuses."""

    @roles(OWNER)
    def view(request: HttpRequest) -> HttpResponse:
        return HttpResponse("inside")

    request = HttpRequest()
    request.user = Person(username="x", name="X")
    request.held_roles = frozenset({Role.TECHNICIAN})  # type: ignore[attr-defined]
    with pytest.raises(PermissionDenied):
        view(request)


@pytest.mark.django_db
def test_the_terms_of_a_day_are_the_newest_before_it(hollin_lane: Shop) -> None:
    now = timezone.now()
    old = queries.terms_at(hollin_lane, now)
    coming = Terms.objects.create(
        shop=hollin_lane,
        valid_from=now + timedelta(days=1),
        hourly_rate_minor=7200,
        diagnosis_fee_minor=4000,
        tax_basis_points=2000,
    )
    assert queries.terms_at(hollin_lane, now) == old
    assert queries.terms_at(hollin_lane, now + timedelta(days=2)) == coming


@pytest.mark.django_db
def test_personal_pages_are_not_kept_by_the_browser(
    tomas: Person, client: Client
) -> None:
    client.force_login(tomas)
    assert client.get("/counter/")["Cache-Control"] == "no-store"
