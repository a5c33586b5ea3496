"""A room's sections as they were counted last, and when.

In a big shop a year takes a second and more to count, and something happens every
minute: there a count serves for ten minutes, and the page says when it was made. A
job counts the usual year before an owner looks. In any other shop all is counted anew
as soon as something has happened.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256
from pathlib import Path

from django.core.cache import cache as shared
from django.utils import timezone, translation

from shop.office import drawings, kept, sections
from shop.office.asked import Asked
from shop.office.asking import USUAL, months_back
from shop.office.rooms import ROOMS
from shop.office.sections import Section
from shop.people.models import Person, Role, Shop
from shop.records import jobs

BIG = 200_000  # events: some 10,000 tickets
SERVES = timedelta(minutes=10)
EVERY = 300.0  # seconds
# What was kept by a program with other shapes is no count of this one.
SHAPES = sha256(
    b"".join(Path(str(one.__file__)).read_bytes() for one in (drawings, sections))
).hexdigest()[:12]


@dataclass(frozen=True)
class Counted:
    """``newest`` is the last event that is in it."""

    sections: list[Section]
    at: datetime
    newest: int

    def is_young(self, now: datetime) -> bool:
        return self.newest > BIG and timedelta() <= now - self.at < SERVES


def counted(room: str, shop: Shop, asked: Asked, *, anew: bool = False) -> Counted:
    """In the reader's language; with ``anew`` all is in it that has happened."""
    newest = kept.newest_event(shop)
    place = kept.place_of(room, shop, asked)
    key = f"{place}-{translation.get_language()}-{SHAPES}"
    found: Counted | None = shared.get(key)
    if found is not None and found.newest == newest:
        return found
    if found is None or anew or not found.is_young(asked.now):
        found = Counted(ROOMS[room](shop, asked), asked.now, newest)
        shared.set(key, found, kept.KEPT_SECONDS)
    return found


def job() -> None:
    """The usual year of each room, where somebody would have to wait for it."""
    for shop in Shop.objects.all():
        if kept.newest_event(shop) > BIG:
            _count_ahead(shop, timezone.now())


def _count_ahead(shop: Shop, now: datetime) -> None:
    usual = Asked(months_back(shop, now, USUAL), now, now)
    for language in _languages(shop):
        with translation.override(language), timezone.override(shop.zone):
            for room in ROOMS:
                if not jobs.may_go_on():
                    return
                counted(room, shop, usual, anew=True)


def _languages(shop: Shop) -> list[str]:
    """Of its owners."""
    owners = Person.objects.filter(
        memberships__shop=shop, memberships__role=Role.OWNER, is_active=True
    )
    return sorted(set(owners.values_list("language", flat=True)))
