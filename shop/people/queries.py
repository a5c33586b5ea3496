"""Reads of shops, people and terms that other rooms share."""

from datetime import datetime

from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import AnonymousUser

from shop.people.models import Membership, Role, Shop, Terms

NOWHERE: tuple[None, frozenset[Role]] = (None, frozenset())


def place_of(
    user: AbstractBaseUser | AnonymousUser,
) -> tuple[Shop | None, frozenset[Role]]:
    """The shop where this person works and the roles held there."""
    if not user.is_authenticated:
        return NOWHERE
    held = list(Membership.objects.filter(person_id=user.pk).select_related("shop"))
    if not held:
        return NOWHERE
    shop = held[0].shop
    return shop, frozenset(Role(m.role) for m in held if m.shop_id == shop.pk)


def terms_at(shop: Shop, when: datetime) -> Terms:
    """The terms in force at ``when``; raises ``Terms.DoesNotExist`` before any."""
    return shop.terms.filter(valid_from__lte=when).latest("valid_from")
