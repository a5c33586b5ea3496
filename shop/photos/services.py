"""Acts that keep and erase photos."""

import hashlib
import logging
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.intake.models import Handover, Ticket
from shop.people.models import Person, Shop, Station
from shop.photos import files, limits
from shop.photos.aside import Remade, remake
from shop.photos.models import Keeping, Link, Photo, Side
from shop.records import services as records
from shop.records.changes import before_after
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Note

log = logging.getLogger(__name__)
LONGEST_NOTE = 500
FUTURE = timedelta(minutes=5)


def photo_take_in(
    *,
    shop: Shop,
    by: Person,
    sent: bytes,
    key: str,
    side: str,
    ticket: Ticket | None = None,
    board_id: int | None = None,
    taken_at: datetime | None = None,
    station: Station | None = None,
    link: Link | None = None,
) -> Photo:
    """Keep one photo as it was sent. The same bytes under the same key: once."""
    if side not in Side.values:
        raise Refused(_("Say what it shows."), field="side")
    sent_id = hashlib.sha256(key.encode() + b"\0" + sent).hexdigest()
    known = Photo.objects.filter(shop=shop, sent_id=sent_id).first()
    if known is not None:
        return known
    now = timezone.now()
    if taken_at is not None and taken_at > now + FUTURE:
        taken_at = None
    photo = Photo(
        shop=shop,
        ticket=ticket,
        board_id=board_id,
        side=side,
        sent_id=sent_id,
        taken_at=taken_at,
        received_at=now,
        by=by,
        station=station,
        link=link,
    )
    return photo_store(photo, remake(sent))


def photo_store(photo: Photo, remade: Remade) -> Photo:
    """Its files first, then its row: a row never waits for a file."""
    photo.name = files.random_name()
    photo.width, photo.height = remade.width, remade.height
    photo.bytes = len(remade.full)
    photo.sha256 = hashlib.sha256(remade.full).hexdigest()
    files.write(photo, remade)
    try:
        with transaction.atomic():
            _still_open(photo.ticket)
            photo.save()
    except IntegrityError:
        files.remove(photo)
        return Photo.objects.get(shop=photo.shop, sent_id=photo.sent_id)
    except BaseException:
        files.remove(photo)
        raise
    return photo


def _still_open(ticket: Ticket | None) -> None:
    if ticket is None:
        return
    Ticket.objects.select_for_update().only("pk").get(pk=ticket.pk)
    if Handover.objects.filter(ticket=ticket).exists():
        raise Refused(_("This ticket is closed: the device was handed over."))


@transaction.atomic
def photo_describe(*, photo: Photo, by: Person, side: str, note: str = "") -> None:
    """What it shows, and a few words. The words before stay in their note."""
    note = note.strip()
    if side not in Side.values:
        raise Refused(_("Say what it shows."), field="side")
    if len(note) > LONGEST_NOTE:
        raise Refused(
            _("At most %(n)d characters.") % {"n": LONGEST_NOTE}, field="note"
        )
    if note != (photo.note.text if photo.note else ""):
        photo.note = _note(photo, by, note) if note else None
    photo.side = side
    photo.save(update_fields=["side", "note"])


def _note(photo: Photo, by: Person, text: str) -> Note:
    return records.note_keep(
        shop_id=photo.shop_id,
        ticket_id=photo.ticket_id,
        kind="photo",
        text=text,
        by_id=by.pk,
    )


@transaction.atomic
def photo_erase(*, photo: Photo, by: Person) -> None:
    """The files go once this is kept; the row stays and says that there was one."""
    if erased([photo], timezone.now()):
        _tell(photo, 1, because="by_hand", by=by)


def erased(photos: list[Photo], now: datetime) -> int:
    """Mark them, and delete their files after the commit; returns how many."""
    ids = [photo.pk for photo in photos]
    count = Photo.objects.filter(pk__in=ids, erased_at=None).update(
        erased_at=now, sha256="", bytes=0
    )
    transaction.on_commit(lambda: files_away(photos))
    return count


def files_away(photos: list[Photo]) -> None:
    """Delete the files; what a storage fails at now, the sweep tries again."""
    for photo in photos:
        try:
            files.remove(photo)
        except Exception:  # each storage fails in its own way
            log.exception("The files of photo %s are not deleted yet.", photo.pk)
            continue
        Photo.objects.filter(pk=photo.pk).update(files_gone_at=timezone.now())


def _tell(photo: Photo, count: int, *, because: str, by: Person | None = None) -> None:
    """One event for this photo and those of the same ticket that go with it."""
    records.event_record(
        Kind.PHOTO_ERASED,
        shop_id=photo.shop_id,
        ticket_id=photo.ticket_id,
        board_id=photo.board_id,
        by_id=by.pk if by else None,
        codes={"because": because},
        amounts={"photos": count},
    )


@transaction.atomic
def keeping_set(*, shop: Shop, by: Person, days: int) -> Keeping:
    """For how many days after the handover photos stay."""
    before = days_kept(shop)
    keeping, _made = Keeping.objects.update_or_create(
        shop=shop, defaults={"days": days}
    )
    if changed := before_after({"photo_days": before}, {"photo_days": days}):
        records.event_record(
            Kind.SETTINGS_CHANGED,
            shop_id=shop.pk,
            by_id=by.pk,
            codes={"what": "photos"} | changed,
        )
    return keeping


def days_kept(shop: Shop) -> int:
    keeping = Keeping.objects.filter(shop=shop).first()
    return keeping.days if keeping else limits.KEPT_DAYS


def ticket_swept(ticket: Ticket, now: datetime) -> int:
    """Erase what a closed ticket has left; one event says how many."""
    with transaction.atomic():
        left = list(Photo.objects.filter(ticket=ticket, erased_at=None))
        count = erased(left, now)
        if count:
            _tell(left[0], count, because="kept_long_enough")
    return count
