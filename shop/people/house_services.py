"""Acts that write what is the shop's own: hours, texts, logo, terms, address."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, time
from itertools import pairwise
from types import MappingProxyType
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from shop.people import message_texts
from shop.people.models import (
    ClosedDay,
    Logo,
    OpeningHours,
    Person,
    Shop,
    ShopText,
    TextsRead,
    Weekday,
    ZoneChange,
)
from shop.people.texts import newest
from shop.records import services as records
from shop.records.changes import BEFORE, Value, before_after
from shop.records.errors import Refused, StaleEdit
from shop.records.kinds import Kind

ADDRESS = (
    "name",
    "street",
    "town",
    "phone",
    "email",
    "tax_id",
    "account",
    "country",
    "currency",
    "time_zone",
    "paper_size",
    "languages",
    "rolls",
    "backup_place",
)
# Said in the trail with what stood before; of the others it is said that they changed.
CODES = ("country", "currency", "time_zone", "paper_size", "languages", "rolls")
LONGEST_SHOP_TEXT = 4000
NOTHING: Mapping[str, Any] = MappingProxyType({})


@dataclass(frozen=True)
class Stretch:
    weekday: int
    opens: time
    closes: time


@dataclass(frozen=True)
class Closed:
    first: date
    last: date
    name: str = ""


@transaction.atomic
def shop_change(*, shop: Shop, by: Person, version: int, **fields: str) -> Shop:
    """Change the named columns; refused when somebody saved after ``version``."""
    unknown = set(fields) - set(ADDRESS)
    if unknown:
        raise TypeError(f"A shop has no {', '.join(sorted(unknown))} to change.")
    row = _locked(shop)
    theirs = {name: getattr(row, name) for name in fields}
    if theirs == fields:
        return row
    if row.version != version:
        raise StaleEdit(mine=fields, theirs=theirs)
    for name, value in fields.items():
        setattr(row, name, value)
    row.version += 1
    row.save(update_fields=[*fields, "version"])
    if theirs.get("time_zone", row.time_zone) != row.time_zone:
        ZoneChange.objects.create(
            shop=row, by=by, before=theirs["time_zone"], after=row.time_zone
        )
    changed(row, by, "shop", _told(theirs, fields))
    return row


def _told(before: Mapping[str, str], after: Mapping[str, str]) -> dict[str, Value]:
    """No name, address or number of anybody gets into an event."""
    codes = {name: value for name, value in after.items() if name in CODES}
    others = [n for n in after if n not in CODES and after[n] != before[n]]
    return before_after(before, codes) | ({"also": " ".join(others)} if others else {})


@transaction.atomic
def hours_keep(
    *,
    shop: Shop,
    by: Person,
    version: int,
    week: Iterable[Stretch],
    closed: Iterable[Closed],
) -> Shop:
    """The whole week and all closed days anew."""
    row = _locked(shop)
    if row.version != version:
        raise Refused(
            _("Somebody else changed the shop’s settings meanwhile: look again.")
        )
    before = _hours_told(row)
    OpeningHours.objects.filter(shop=row).delete()
    ClosedDay.objects.filter(shop=row).delete()
    OpeningHours.objects.bulk_create(
        OpeningHours(shop=row, weekday=w.weekday, opens=w.opens, closes=w.closes)
        for w in _apart(week)
    )
    ClosedDay.objects.bulk_create(
        ClosedDay(shop=row, first=c.first, last=c.last, name=c.name) for c in closed
    )
    row.version += 1
    row.save(update_fields=["version"])
    changed(row, by, "hours", before_after(before, _hours_told(row)))
    return row


def _hours_told(shop: Shop) -> Mapping[str, Value]:
    """Each weekday and the closed days, without the names of these."""
    days = dict.fromkeys((f"weekday_{day}" for day in Weekday.values), "")
    for one in shop.opening_hours.all():
        stretch = f"{one.opens:%H:%M}–{one.closes:%H:%M}"
        days[f"weekday_{one.weekday}"] = f"{days[f'weekday_{one.weekday}']} {stretch}"
    closed = (f"{one.first}/{one.last}" for one in shop.closed_days.all())
    return {day: told.strip() for day, told in days.items()} | {
        "closed_days": " ".join(closed)
    }


def _apart(week: Iterable[Stretch]) -> list[Stretch]:
    """The stretches in their order; refused where two of a day overlap."""
    rows = sorted(week, key=lambda one: (one.weekday, one.opens))
    for one, two in pairwise(rows):
        is_late = one.closes == time() or two.opens < one.closes
        if one.weekday == two.weekday and is_late:
            raise Refused(_("Two opening times of one day overlap."))
    return rows


def text_add(
    *,
    shop: Shop,
    by: Person,
    kind: str,
    language: str,
    text: str,
    is_ours: bool = False,
) -> ShopText:
    if len(text) > LONGEST_SHOP_TEXT:
        raise Refused(
            _("At most %(n)d characters.") % {"n": LONGEST_SHOP_TEXT},
            field=f"{kind}_{language}",
        )
    return ShopText.objects.create(
        shop=shop, by=by, kind=kind, language=language, text=text, is_ours=is_ours
    )


@transaction.atomic
def texts_keep(
    *,
    shop: Shop,
    by: Person,
    texts: Mapping[tuple[str, str], str],
    seen: Mapping[tuple[str, str], int],
) -> int:
    """Keep those that differ from what stands; how many did.

    Refused as stale where somebody wrote a text after the page was made.
    """
    _locked(shop)
    stand = newest(shop)
    rows = dict[str, int]()
    for key, typed in texts.items():
        (kind, language), text = key, typed.replace("\r\n", "\n").strip()
        row = stand.get(key)
        if (row.text if row else "") == text:
            continue
        if row is not None and seen.get(key, 0) != row.pk:
            name = f"{kind}_{language}"
            raise StaleEdit(mine={name: text}, theirs={name: row.text})
        made = text_add(
            shop=shop,
            by=by,
            kind=kind,
            language=language,
            text=text,
            is_ours=text == message_texts.ours(language).get(kind),
        )
        rows |= {f"{kind} {language}": made.pk}
        rows |= {f"{kind} {language}{BEFORE}": row.pk} if row else {}
    named = [name for name in rows if not name.endswith(BEFORE)]
    if named:
        changed(shop, by, "texts", {"texts": ", ".join(named)}, ids=rows)
    return len(named)


@transaction.atomic
def texts_confirm(*, shop: Shop, by: Person, last_seen: int) -> TextsRead:
    """The owner has read the texts up to the row ``last_seen``: they go in force."""
    _locked(shop)
    last = shop.texts.order_by("id").last()
    if last is None or last.pk != last_seen:
        raise Refused(_("The texts were changed meanwhile: read them again."))
    read = TextsRead.objects.create(shop=shop, by=by)
    records.event_record(Kind.TEXTS_READ, shop_id=shop.pk, by_id=by.pk)
    return read


@transaction.atomic
def logo_keep(*, shop: Shop, by: Person, png: bytes) -> Logo:
    """The picture on papers from now on; no bytes take it off them."""
    logo = Logo.objects.create(shop=shop, by=by, png=png)
    changed(shop, by, "logo")
    return logo


def changed(
    shop: Shop,
    by: Person,
    what: str,
    told: Mapping[str, Value] = NOTHING,
    ids: Mapping[str, int | str] = NOTHING,
) -> None:
    records.event_record(
        Kind.SETTINGS_CHANGED,
        shop_id=shop.pk,
        by_id=by.pk,
        ids=ids,
        codes={"what": what} | dict(told),
    )


def _locked(shop: Shop) -> Shop:
    return Shop.objects.select_for_update().get(pk=shop.pk)
