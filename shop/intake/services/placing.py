"""Places, and where the tagged things are put."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.intake import places
from shop.intake.models import Place, PlaceKind, Thing
from shop.intake.services.rows import lock, tell
from shop.intake.things import given_back, moves_of
from shop.people.models import Person, Shop
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event

LONGEST_PLACE = 40


@transaction.atomic
def places_make(*, shop: Shop, by: Person, names: str, kind: str) -> list[Place]:
    """Make the places that ``names`` lists ("C1 to C8, D2"); known ones stay."""
    try:
        wanted = places.names_of(names)
    except places.NoSuchNames as wrong:
        raise Refused(_list_again(wrong), field="names") from wrong
    if kind not in PlaceKind.values:
        raise Refused(_("Choose what it is."), field="kind")
    Shop.objects.select_for_update().only("pk").get(pk=shop.pk)
    known = {place.name.lower() for place in places.of(shop)}
    made = [
        Place.objects.create(shop=shop, name=name, kind=kind)
        for name in wanted
        if name.lower() not in known
    ]
    if not made:
        raise Refused(_("There are places of these names already."), field="names")
    for place in made:
        _place_tell(Kind.PLACE_MADE, place, by)
    return made


def _list_again(wrong: places.NoSuchNames) -> str:
    if wrong.is_too_many:
        return _("At most %(n)d places at a time.") % {"n": places.MOST}
    return _("Not understood: %(part)s. Write names such as C1 to C8, or D2.") % {
        "part": str(wrong)
    }


@transaction.atomic
def place_end(*, place: Place, by: Person) -> None:
    """The place is no more; what lies there keeps its name until it is moved."""
    ended = Place.objects.filter(pk=place.pk, ended_at=None)
    if ended.update(ended_at=timezone.now()):
        _place_tell(Kind.PLACE_ENDED, place, by)


def _place_tell(kind: Kind, place: Place, by: Person) -> None:
    records.event_record(
        kind,
        shop_id=place.shop_id,
        by_id=by.pk,
        ids={"place": place.pk},
        codes={"name": place.name},
    )


@transaction.atomic
def thing_move(
    *, thing: Thing, by: Person, place: str, at: datetime | None = None
) -> Event:
    """Put a tagged thing at a known place, or anywhere that has a short name."""
    place = place.strip()
    if not 1 <= len(place) <= LONGEST_PLACE:
        raise Refused(_("Name the place in a few words."), field="place")
    _still_here(thing)
    known = places.named(thing.ticket.shop, place)
    if known is None:
        return thing_tell(Kind.THING_MOVED, thing, by, at, place=place)
    ids = {"place": known.pk}
    return thing_tell(Kind.THING_MOVED, thing, by, at, ids=ids, place=known.name)


@transaction.atomic
def thing_move_back(*, thing: Thing, by: Person, event_id: int) -> Event:
    """Take the last move back: the thing is noted where it was before it."""
    _still_here(thing)
    moves = moves_of(thing)
    if not moves or moves[-1].pk != event_id:
        raise Refused(_("It was moved again since."))
    before = moves[-2] if len(moves) > 1 else None
    place = before.codes["place"] if before else ""
    known = before.ids.get("place") if before else None
    ids = {"place": known} if known else {}
    return thing_tell(Kind.THING_MOVED, thing, by, None, ids=ids, place=place)


def _still_here(thing: Thing) -> None:
    lock(thing.ticket)
    if thing.pk in given_back(thing.ticket):
        raise Refused(_("It was given back already."))


def thing_tell(
    kind: Kind,
    thing: Thing,
    by: Person,
    at: datetime | None,
    *,
    ids: dict[str, int] | None = None,
    **codes: str,
) -> Event:
    own = {"thing": thing.pk, "tag": thing.tag}
    return tell(kind, thing.ticket, by, at, ids=own | (ids or {}), codes=codes)
