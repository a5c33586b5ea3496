"""An owner's way in when password or second factor are lost, and no mail to help.

Whoever may run commands on the machine has the data anyway. It is recorded as such,
and the office's page says it to every owner for a while.
"""

from datetime import datetime, timedelta

from allauth.mfa.models import Authenticator
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.people import pins, services
from shop.people.models import Membership, Person, Role, Shop
from shop.people.sign_in_log import log
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event

SHOWN_FOR = timedelta(days=14)


def owners() -> list[Membership]:
    rows = Membership.objects.filter(role=Role.OWNER).order_by("person__username")
    return list(rows.select_related("person", "shop"))


@transaction.atomic
def sign_in_recover(*, username: str) -> tuple[Person, str]:
    """A first password for an owner; factors, PIN and sessions of before end."""
    named = [m for m in owners() if m.person.username == username.lower()]
    if not named:
        known = ", ".join(m.person.username for m in owners()) or "-"
        raise Refused(_("No owner signs in as that. Owners: %s") % known)
    person, password = named[0].person, services.password_made()
    person.set_password(password)
    person.must_change_password = True
    person.is_active = True
    person.save(update_fields=["password", "must_change_password", "is_active"])
    Authenticator.objects.filter(user=person).delete()
    pins.pin_end(person)
    services.sessions_end(person)
    records.event_record(
        Kind.SIGN_IN_RECOVERED,
        shop_id=named[0].shop_id,
        by_id=None,
        person_id=person.pk,
    )
    log.warning("person %s: sign-in recovered at the machine", person.pk)
    return person, password


def recovered_lately(shop: Shop, now: datetime | None = None) -> list[Event]:
    """What owners are told of, the newest first."""
    since = (now or timezone.now()) - SHOWN_FOR
    kind = Event.objects.filter(shop_id=shop.pk, kind=Kind.SIGN_IN_RECOVERED)
    return list(kind.filter(at__gte=since).order_by("-id"))
