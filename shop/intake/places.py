"""The shop's places: their names, and what lies there."""

import re

from shop.intake.models import Place, Thing
from shop.people.models import Shop
from shop.records.kinds import Kind
from shop.records.models import Event

MOST = 100
LONGEST = 20
A_ROW = re.compile(
    r"(?P<stem>[^\d,;]*?)(?P<first>\d{1,4})\s*(?:to|-|–|bis|\.\.)\s*"
    r"(?P<again>[^\d,;]*?)(?P<last>\d{1,4})",
    re.IGNORECASE,
)


class NoSuchNames(ValueError):
    """The part of a list of names that makes no sense, or too many names."""

    is_too_many = False


def names_of(text: str) -> list[str]:
    """The names that a list such as ``C1 to C3, D2`` stands for. PURE.

    >>> names_of("C1 to C3, handover shelf; D08-10")
    ['C1', 'C2', 'C3', 'handover shelf', 'D08', 'D09', 'D10']
    """
    names: list[str] = []
    for part in re.split(r"[,;\n]", text.replace("\0", "")):
        names += _names_in(" ".join(part.split()))
        if len(names) > MOST:
            wrong = NoSuchNames(text)
            wrong.is_too_many = True
            raise wrong
    by_small = {name.lower(): name for name in reversed(names)}
    if not by_small:
        raise NoSuchNames(text.strip() or "—")
    return list(reversed(by_small.values()))


def _names_in(part: str) -> list[str]:
    if not part:
        return []
    if (row := A_ROW.fullmatch(part)) is None:
        return [_short(part)]
    stem, again = row["stem"], row["again"]
    first, last = int(row["first"]), int(row["last"])
    if again not in {"", stem} or not first <= last <= first + MOST:
        raise NoSuchNames(part)
    width = len(row["first"])
    return [_short(f"{stem}{n:0{width}}") for n in range(first, last + 1)]


def _short(name: str) -> str:
    if len(name) > LONGEST:
        raise NoSuchNames(name)
    return name


def of(shop: Shop) -> list[Place]:
    """The places that are in use, as a person would count them: C2 before C10."""
    return sorted(Place.objects.filter(shop=shop, ended_at=None), key=_counted)


def _counted(place: Place) -> list[tuple[bool, int, str]]:
    parts = re.split(r"(\d+)", place.name.lower())
    return [
        (p.isdecimal(), int(p) if p.isdecimal() else 0, p) for p in parts if p.strip()
    ]


def named(shop: Shop, name: str) -> Place | None:
    return Place.objects.filter(
        shop=shop, ended_at=None, name__iexact=name.strip()
    ).first()


def things_at(place: Place) -> list[Thing]:
    """What was last put at this place and has not gone back, by ticket and tag."""
    came = Event.objects.filter(
        shop_id=place.shop_id, kind=Kind.THING_MOVED, ids__place=place.pk
    )
    candidates = set(came.values_list("ids__thing", flat=True))
    here = dict[int, bool]()
    for kind, ids in _moves(set(came.values_list("ticket_id", flat=True))):
        is_here = kind == Kind.THING_MOVED and ids.get("place") == place.pk
        here[ids["thing"]] = is_here
    still = [pk for pk in candidates if here.get(pk)]
    things = Thing.objects.filter(pk__in=still)
    return list(things.select_related("ticket__device"))


def _moves(ticket_ids: set[int | None]) -> list[tuple[str, dict[str, int]]]:
    kinds = [Kind.THING_MOVED.value, Kind.THING_RETURNED.value]
    rows = Event.objects.filter(ticket_id__in=ticket_ids, kind__in=kinds)
    return list(rows.order_by("id").values_list("kind", "ids"))
