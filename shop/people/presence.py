"""A word of the house about who is at a tablet, which the tablet shows later.

What is done there may arrive after somebody else has signed in, or nobody. So each page
carries a signed word: this person was at this station from that moment on. It holds for
what was done within the longest session, however late that arrives.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.core import signing

from shop.people import queries
from shop.people.models import LateSwitch, Person, Shop, Station

SALT = "coldrail.at-tablet"
SLACK = timedelta(minutes=2)


@dataclass(frozen=True)
class Present:
    """Who did something at a tablet, and whether the house can vouch for it."""

    person: Person
    is_confirmed: bool


def word_for(
    *, person: Person, shop: Shop, station: Station | None, now: datetime
) -> str:
    told = [person.pk, shop.pk, station.pk if station else 0, int(now.timestamp())]
    return signing.dumps(told, salt=SALT)


def present(
    *,
    claimed: str,
    word: str,
    switch: str,
    shop: Shop,
    station: Station | None,
    at: datetime,
) -> Present | None:
    """Whom a tablet names for an act done ``at``; ``None`` for nobody of this shop.

    ``switch`` is the key of a switch by PIN while the network was away.
    """
    person = queries.person_here(shop, int(claimed)) if claimed.isdecimal() else None
    if person is None:
        return None
    if switch:
        return Present(person, _is_switched(person, switch, station))
    return Present(person, _is_vouched(person, word, shop, station, at))


def _is_switched(person: Person, key: str, station: Station | None) -> bool:
    return LateSwitch.objects.filter(
        key=key, station=station, person=person, is_confirmed=True
    ).exists()


def _is_vouched(
    person: Person, word: str, shop: Shop, station: Station | None, at: datetime
) -> bool:
    try:
        *who, since = signing.loads(word, salt=SALT)
    except (signing.BadSignature, ValueError, TypeError):
        return False
    lasted = timedelta(seconds=at.timestamp() - since)
    longest = timedelta(seconds=settings.SESSION_COOKIE_AGE)
    is_there = who == [person.pk, shop.pk, station.pk if station else 0]
    return is_there and -SLACK <= lasted <= longest + SLACK
