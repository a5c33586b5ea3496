"""PINs: short numbers that switch the person at a bench tablet, and nothing more.

A PIN of four digits is guessed from its hash in minutes, however slow the hash. So
what Django's hasher gets is not the PIN but its HMAC under this house's secret key,
which lies outside the database: a stolen table or backup tells nothing.

A try is taken before it is looked at, in a transaction of its own with the row
locked: of many tries at once no more than five are ever looked at.
"""

import re
from itertools import pairwise

from django.conf import settings
from django.contrib.auth.hashers import PBKDF2PasswordHasher
from django.db import transaction
from django.db.models import F
from django.http import HttpRequest
from django.utils import timezone
from django.utils.crypto import salted_hmac
from django.utils.translation import gettext as _

from shop.people import stations
from shop.people.models import Person, Pin, Shop, Station
from shop.people.sign_in_log import log
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind


class PinHasher(PBKDF2PasswordHasher):
    """A tenth of a password's rounds: the key is the lock, and somebody waits."""

    iterations = 100_000


HASHER = PinHasher()
TRIES = 5
TRIES_AT_STATION = 15
SHAPE = re.compile(r"[0-9]{4,8}")
YEAR = re.compile(r"(19[3-9]|20[0-2])[0-9]")


def is_trivial(digits: str) -> bool:
    """One digit again and again, a run, a short piece repeated, a year of birth.

    >>> [is_trivial(d) for d in ("0000", "1234", "8765", "1212", "1987", "7391")]
    [True, True, True, True, True, False]
    """
    steps = {(int(b) - int(a)) % 10 for a, b in pairwise(digits)}
    is_run = len(steps) == 1 and steps <= {0, 1, 9}
    half, odd = divmod(len(digits), 2)
    is_twice = not odd and digits[:half] == digits[half:]
    return is_run or is_twice or YEAR.fullmatch(digits) is not None


def pin_set(*, person: Person, shop: Shop, digits: str) -> None:
    """A new PIN of one's own; the old one is gone, and so are wrong tries."""
    if not SHAPE.fullmatch(digits):
        raise Refused(_("Four to eight digits."), field="pin")
    if is_trivial(digits):
        raise Refused(_("Anybody would try that one: take another."), field="pin")
    with transaction.atomic():
        Pin.objects.update_or_create(
            person=person,
            defaults={
                "keyed_hash": HASHER.encode(_keyed(person, digits), HASHER.salt()),
                "set_at": timezone.now(),
                "wrong_tries": 0,
            },
        )
        records.event_record(
            Kind.PIN_SET, shop_id=shop.pk, by_id=person.pk, person_id=person.pk
        )


def pin_end(person: Person) -> None:
    Pin.objects.filter(person=person).delete()


def is_right(person: Person, digits: str, station: Station) -> bool:
    """Whether this is the person's PIN. Refused while the PIN or the tablet sleeps."""
    pin = _try_taken(person, station)
    if pin is None or not SHAPE.fullmatch(digits) or not _fits(pin, digits):
        log.warning("person %s: PIN refused at station %s", person.pk, station.pk)
        return False
    Pin.objects.filter(pk=pin.pk).update(wrong_tries=0)
    Station.objects.filter(pk=station.pk).update(wrong_tries=0)
    return True


def is_asleep(person: Person) -> bool:
    return Pin.objects.filter(person=person, wrong_tries__gte=TRIES).exists()


@transaction.atomic
def _try_taken(person: Person, station: Station) -> Pin | None:
    pin = Pin.objects.select_for_update().filter(person=person).first()
    here = Station.objects.select_for_update().get(pk=station.pk)
    if here.wrong_tries >= TRIES_AT_STATION:
        raise Refused(
            _("Too many wrong tries at this tablet: somebody signs in with a password.")
        )
    if pin is not None and pin.wrong_tries >= TRIES:
        raise Refused(
            _("Five wrong tries: the PIN sleeps until you sign in with your password.")
        )
    Station.objects.filter(pk=here.pk).update(wrong_tries=F("wrong_tries") + 1)
    if pin is not None:
        Pin.objects.filter(pk=pin.pk).update(wrong_tries=F("wrong_tries") + 1)
    return pin


def wake(person: Person, request: HttpRequest) -> None:
    """A full sign-in wakes the person's PIN, and the tablet where it is done."""
    Pin.objects.filter(person=person, wrong_tries__gt=0).update(wrong_tries=0)
    station = stations.station_of(request)
    if station is not None and station.wrong_tries:
        Station.objects.filter(pk=station.pk).update(wrong_tries=0)


def _fits(pin: Pin, digits: str) -> bool:
    secrets = [settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS]
    return any(
        HASHER.verify(_keyed(pin.person, digits, secret), pin.keyed_hash)
        for secret in secrets
    )


def _keyed(person: Person, digits: str, secret: str | None = None) -> str:
    return salted_hmac(
        "people.pin",
        f"{person.pk}:{digits}",
        secret=secret or settings.SECRET_KEY,
        algorithm="sha256",
    ).hexdigest()
