"""Reads of shops, people and terms that other rooms share."""

from datetime import datetime

from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import AnonymousUser
from django.utils import timezone

from shop.people.models import Membership, Person, Role, Shop, Terms
from shop.records.kinds import Kind
from shop.records.models import Event

NOWHERE: tuple[None, frozenset[Role]] = (None, frozenset())


def place_of(
    user: AbstractBaseUser | AnonymousUser,
) -> tuple[Shop | None, frozenset[Role]]:
    """The shop where this person works and the roles held there."""
    if not user.is_authenticated:
        return NOWHERE
    now = timezone.now()
    rows = Membership.objects.filter(person_id=user.pk).select_related("shop")
    held = [row for row in rows if row.is_held(now)]
    if not held:
        return NOWHERE
    shop = held[0].shop
    return shop, frozenset(Role(m.role) for m in held if m.shop_id == shop.pk)


def terms_at(shop: Shop, when: datetime) -> Terms:
    """The terms in force at ``when``; raises ``Terms.DoesNotExist`` before any."""
    return shop.terms.filter(valid_from__lte=when).latest("valid_from")


def has_ended(person: Person) -> bool:
    """Whether all that this person may do here was until a day that has passed."""
    now = timezone.now()
    rows = list(person.memberships.select_related("shop"))
    return bool(rows) and not any(row.is_held(now) for row in rows)


def people_of(shop: Shop) -> list[tuple[Person, list[str]]]:
    """Who works here, by name, each with the roles in words."""
    held = Membership.objects.filter(shop=shop).select_related("person")
    roles: dict[Person, list[str]] = {}
    for membership in held.order_by("person__name", "person_id", "id"):
        roles.setdefault(membership.person, []).append(membership.get_role_display())
    return list(roles.items())


def technicians_of(shop: Shop) -> list[Person]:
    """Who may stand at a bench tablet, by name."""
    held = Person.objects.filter(
        memberships__shop=shop, memberships__role=Role.TECHNICIAN, is_active=True
    )
    return list(held.select_related("pin").order_by("name", "id"))


def person_here(shop: Shop, person_id: int) -> Person | None:
    """Somebody who works in the shop, or did."""
    left = Event.objects.filter(
        shop_id=shop.pk, kind=Kind.PERSON_LEFT, person_id=person_id
    )
    works = Membership.objects.filter(shop=shop, person_id=person_id)
    if not works.exists() and not left.exists():
        return None
    return Person.objects.filter(pk=person_id).first()


def left_of(shop: Shop) -> list[tuple[Person, datetime]]:
    """Who left the shop and is not back, with the moment, latest first."""
    at = {
        event.person_id: event.at
        for event in Event.objects.filter(shop_id=shop.pk, kind=Kind.PERSON_LEFT)
        if event.person_id is not None
    }
    gone = Person.objects.filter(pk__in=at, is_active=False, memberships=None)
    found = [(person, at[person.pk]) for person in gone]
    return sorted(found, key=lambda left: left[1], reverse=True)
