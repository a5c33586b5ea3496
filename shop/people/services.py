"""Acts that write people, their roles and the shop's terms."""

from collections.abc import Iterable

from django.db import transaction

from shop.people.models import Membership, Person, Role, Shop


@transaction.atomic
def person_join(
    *, shop: Shop, username: str, name: str, password: str, roles: Iterable[Role]
) -> Person:
    """A new person of the shop, with the roles that add up."""
    person = Person.objects.create_user(username, password, name=name)
    for role in roles:
        Membership.objects.create(shop=shop, person=person, role=role)
    return person


@transaction.atomic
def settings_keep(*, person: Person, hides_suspects: bool) -> None:
    """What a person chose for themselves."""
    person.hides_suspects = hides_suspects
    person.save(update_fields=["hides_suspects"])
