"""Reads of confirmed days: what of the clock was seen, what was typed beside it."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

from django.db.models import Exists, OuterRef

from shop.billing.day_models import ConfirmedDay
from shop.billing.day_split import Key, Typed
from shop.billing.models import LabourKind, TimeEntry
from shop.people.models import Shop

PersonDay = tuple[int, date]


@dataclass
class Confirmed:
    """What the confirmings of one person's day come to so far.

    ``rounds`` is their count, ``seen`` what the clock showed, ``typed`` what was
    recorded by hand and no confirming knew of.
    """

    rounds: int = 0
    is_whole: bool = False
    at: datetime | None = None
    seen: dict[Key, int] = field(default_factory=dict)
    typed: list[Typed] = field(default_factory=list)
    entries: set[int] = field(default_factory=set)
    known_until: dict[int, int] = field(default_factory=dict)


def written(key: Key) -> str:
    """A ticket and kind as a key of JSON."""
    return f"{key[0]} {key[1]}"


def confirmed_days(
    shop: Shop, people: Iterable[int], first: date, last: date
) -> dict[PersonDay, Confirmed]:
    """By person and day, both ends included; a day that nobody touched is empty."""
    found = defaultdict[PersonDay, Confirmed](Confirmed)
    ids = list(people)
    for row in ConfirmedDay.objects.filter(
        shop=shop, person_id__in=ids, day__gte=first, day__lte=last
    ).order_by("id"):
        _add_round(found[row.person_id, row.day], row)
    begins = datetime.combine(first, time(), shop.zone)
    ends = datetime.combine(last + timedelta(days=1), time(), shop.zone)
    # Joined, SQLite indexes all reversals anew for each question.
    reversals = TimeEntry.objects.filter(reverses=OuterRef("pk"))
    entries = TimeEntry.objects.filter(
        ~Exists(reversals),
        ticket__shop=shop,
        person_id__in=ids,
        started_at__gte=begins,
        started_at__lt=ends,
        reverses=None,
    ).exclude(kind=LabourKind.MACHINE)
    # Asked for in the order of the index: by key, SQLite reads all they ever did.
    read = entries.order_by("started_at", "id")
    for entry in sorted(read, key=lambda one: one.pk):
        day = entry.started_at.astimezone(shop.zone).date()
        one = found[entry.person_id, day]
        is_known = entry.pk <= one.known_until.get(entry.ticket_id, 0)
        if entry.pk not in one.entries and not is_known:
            one.typed.append(Typed(entry.ticket_id, entry.kind, entry.minutes))
    return found


def _add_round(one: Confirmed, row: ConfirmedDay) -> None:
    one.rounds += 1
    one.is_whole = one.is_whole or row.is_whole
    one.at = row.at
    one.entries |= set(row.entries)
    for key, minutes in row.seen.items():
        ticket, kind = key.split(" ", 1)
        one.seen[int(ticket), kind] = minutes
        one.known_until[int(ticket)] = row.newest_entry
