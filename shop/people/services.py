"""Acts that write people, their roles and the shop's terms."""

import secrets
from collections.abc import Iterable
from datetime import date

from allauth.mfa.models import Authenticator
from django.db import transaction
from django.db.models import F
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from shop.people import badges, languages, pins
from shop.people.models import Membership, Person, Role, Shop
from shop.people.sign_in_log import log
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind

# Letters and digits that nobody mixes up, as a person copies them from paper.
FIRST_SIGNS = "abcdefghkmnpqrstuvwxyz23456789"


def password_made() -> str:
    """A first password of the program's making: 78 bits, in four groups."""
    groups = ["".join(secrets.choice(FIRST_SIGNS) for _at in range(4)) for _g in "1234"]
    return "-".join(groups)


@transaction.atomic
def person_join(
    *,
    shop: Shop,
    username: str,
    name: str,
    password: str,
    roles: Iterable[Role],
    by: Person | None = None,
    must_change_password: bool = False,
    language: str | None = None,
    ends_on: date | None = None,
) -> Person:
    """A new person of the shop, with the roles that add up.

    Who brings them in speaks for them until they choose their language.
    """
    person = Person.objects.create_user(username, password, name=name)
    person.must_change_password = must_change_password
    person.language = languages.spoken(language or get_language())
    person.save(update_fields=["must_change_password", "language"])
    _joined(person, shop, roles, by, ends_on)
    return person


@transaction.atomic
def person_return(
    *,
    shop: Shop,
    person: Person,
    password: str,
    roles: Iterable[Role],
    by: Person,
    ends_on: date | None = None,
) -> None:
    """Somebody who left comes back: the same person, everything else anew."""
    if Membership.objects.filter(person=person).exists():
        raise Refused(_("This person works here already."))
    person.is_active = True
    person.save(update_fields=["is_active"])
    password_give(person=person, shop=shop, password=password, by=by)
    _joined(person, shop, roles, by, ends_on)


def _joined(
    person: Person,
    shop: Shop,
    roles: Iterable[Role],
    by: Person | None,
    ends_on: date | None,
) -> None:
    held = list(roles)
    for role in held:
        _hold(shop, person, role, ends_on)
    _tell(Kind.PERSON_JOINED, shop, person, by, roles=" ".join(sorted(held)))


@transaction.atomic
def roles_change(
    *,
    shop: Shop,
    person: Person,
    roles: Iterable[Role],
    by: Person,
    ends_on: date | None = None,
) -> None:
    """The roles from now on; each given or taken is an event of its own.

    An auditor's last day that is moved is the role given anew.
    """
    wanted, held = set(roles), _roles_of(shop, person)
    if Role.AUDITOR in wanted & held:
        Membership.objects.filter(shop=shop, person=person, role=Role.AUDITOR).exclude(
            ends_on=ends_on
        ).delete()
        held = _roles_of(shop, person)
    if not wanted:
        raise Refused(_("At least one role; or the person leaves."), field="roles")
    if Role.OWNER in held - wanted:
        _refuse_the_last_owner(shop, person)
    for role in sorted(wanted - held):
        _hold(shop, person, role, ends_on)
        _tell(Kind.ROLE_GIVEN, shop, person, by, role=role)
    for role in sorted(held - wanted):
        Membership.objects.filter(shop=shop, person=person, role=role).delete()
        _tell(Kind.ROLE_TAKEN, shop, person, by, role=role)


@transaction.atomic
def person_leave(*, shop: Shop, person: Person, by: Person) -> None:
    """Nothing of the person opens a door any more; the name stays on the papers.

    What other rooms hold open for the person they close at the event, in this
    transaction (``records.when``).
    """
    held = _roles_of(shop, person)
    if not held:
        raise Refused(_("This person doesn’t work here."))
    if Role.OWNER in held:
        _refuse_the_last_owner(shop, person)
    for badge in person.badges.filter(ended_at=None):
        badges.badge_end(badge=badge, by=by)
    pins.pin_end(person)
    Authenticator.objects.filter(user=person).delete()
    Membership.objects.filter(shop=shop, person=person).delete()
    person.is_active = False
    person.set_unusable_password()
    person.save(update_fields=["is_active", "password"])
    sessions_end(person)
    _tell(Kind.PERSON_LEFT, shop, person, by, roles=" ".join(sorted(held)))


@transaction.atomic
def factors_reset(*, shop: Shop, person: Person, by: Person) -> None:
    """Phone lost: the second factors are gone, and every session with them."""
    Authenticator.objects.filter(user=person).delete()
    sessions_end(person)
    _tell(Kind.FACTORS_RESET, shop, person, by)


@transaction.atomic
def password_give(*, person: Person, shop: Shop, password: str, by: Person) -> None:
    """A new first password: the person changes it at the next sign-in."""
    person.set_password(password)
    person.must_change_password = True
    person.save(update_fields=["password", "must_change_password"])
    sessions_end(person)
    _tell(Kind.PASSWORD_GIVEN, shop, person, by)


@transaction.atomic
def password_keep(*, person: Person, password: str) -> None:
    """A password that the person chose; sessions elsewhere end with the old one."""
    person.set_password(password)
    person.must_change_password = False
    person.save(update_fields=["password", "must_change_password"])
    log.info("person %s: password changed", person.pk)


def sessions_end(person: Person) -> None:
    """Every session of the person is over at its next request."""
    Person.objects.filter(pk=person.pk).update(session_epoch=F("session_epoch") + 1)
    person.refresh_from_db(fields=["session_epoch"])


@transaction.atomic
def settings_keep(*, person: Person, hides_suspects: bool, language: str) -> None:
    """What a person chose for themselves."""
    person.hides_suspects, person.language = hides_suspects, language
    person.save(update_fields=["hides_suspects", "language"])


@transaction.atomic
def language_change(*, person: Person, language: str) -> None:
    """Chosen for somebody by the owner; they may choose another themselves."""
    person.language = languages.spoken(language)
    person.save(update_fields=["language"])


def _hold(shop: Shop, person: Person, role: Role, ends_on: date | None) -> None:
    """Only an auditor's role ends by itself, and it always does."""
    is_auditor = role == Role.AUDITOR
    if is_auditor and ends_on is None:
        raise Refused(_("Say until which day the auditor may look."), field="ends_on")
    Membership.objects.create(
        shop=shop, person=person, role=role, ends_on=ends_on if is_auditor else None
    )


def _roles_of(shop: Shop, person: Person) -> set[Role]:
    held = Membership.objects.filter(shop=shop, person=person)
    return {Role(m.role) for m in held}


def _refuse_the_last_owner(shop: Shop, person: Person) -> None:
    """Looked at with the owners' rows locked: two owners can't both go at once."""
    owners = Membership.objects.select_for_update().filter(shop=shop, role=Role.OWNER)
    if {m.person_id for m in owners} <= {person.pk}:
        raise Refused(
            _("The shop needs an owner: make somebody else one first."), field="roles"
        )


def _tell(
    kind: Kind, shop: Shop, person: Person, by: Person | None, **codes: str
) -> None:
    records.event_record(
        kind,
        shop_id=shop.pk,
        by_id=by.pk if by else None,
        person_id=person.pk,
        codes=codes,
    )
    log.info("person %s: %s by %s", person.pk, kind.value, by.pk if by else None)
