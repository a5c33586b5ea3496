"""A person's day confirmed: the clock's minutes become recorded time."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.db.models import Max
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing import days
from shop.billing.day_split import Key
from shop.billing.models import ConfirmedDay, TimeEntry
from shop.billing.services.time import time_record
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind


@dataclass(frozen=True)
class Work:
    """Minutes of one kind on one ticket, as somebody confirms them."""

    ticket: Ticket
    kind: str
    minutes: int
    started_at: datetime


@transaction.atomic
def day_confirm(
    *,
    shop: Shop,
    person: Person,
    by: Person,
    day: date,
    works: Sequence[Work],
    seen: Mapping[Key, int],
    round: int,  # noqa: A002  the row's own word
    until: datetime,
    is_whole: bool = True,
    at: datetime | None = None,
) -> ConfirmedDay:
    """Record a day's minutes, once: ``round`` counts its confirmings so far.

    ``seen`` is what the clock showed at ``until``. Refused where somebody confirmed
    the day meanwhile.
    """
    Person.objects.select_for_update().get(pk=person.pk)
    done = ConfirmedDay.objects.filter(shop=shop, person=person, day=day)
    if done.count() != round:
        raise Refused(_("This day was confirmed meanwhile. Look at it again."))
    entries = [
        time_record(
            ticket=one.ticket,
            by=by,
            person=person,
            kind=one.kind,
            minutes=one.minutes,
            started_at=max(one.started_at, one.ticket.opened_at),
        )
        for one in works
        if one.minutes
    ]
    at = at or timezone.now()
    records.event_record(
        Kind.DAY_CONFIRMED,
        shop_id=shop.pk,
        by_id=by.pk,
        at=at,
        person_id=person.pk,
        codes={"day": day.isoformat(), "whole": is_whole},
        amounts={"minutes": sum(one.minutes for one in entries)},
    )
    return ConfirmedDay.objects.create(
        shop=shop,
        person=person,
        day=day,
        round=round,
        seen={days.written(key): count for key, count in seen.items()},
        entries=[entry.pk for entry in entries],
        newest_entry=TimeEntry.objects.aggregate(newest=Max("pk"))["newest"] or 0,
        is_whole=is_whole,
        until=until,
        by=by,
        at=at,
    )
