"""What moves a ticket's turn and tells its story."""

from collections.abc import Mapping
from datetime import UTC, date, datetime, time

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.intake.facts import READY
from shop.intake.models import TELLING, Ticket
from shop.intake.read_out import Said, keepable
from shop.intake.services.rows import lock, note, still_open, tell
from shop.intake.story import NOTE_KIND, current_notes
from shop.intake.turn import PARTY
from shop.people.models import Person, Shop
from shop.records.errors import Refused, StaleEdit
from shop.records.kinds import Kind
from shop.records.models import Event, Note

LONGEST_CODE = 40


@transaction.atomic
def story_write(
    *,
    ticket: Ticket,
    by: Person,
    kind: str,
    text: str,
    seen: int | None = None,
    at: datetime | None = None,
) -> Note:
    """Write told, found, done or proved anew; the earlier text is kept too.

    ``seen`` is the note that the writer had before them (0: none); if another
    came meanwhile, the writer is shown both.
    """
    if kind not in NOTE_KIND:
        raise Refused(_("There is no such part of the story."), field="kind")
    lock(ticket)
    newest = current_notes(ticket).get(kind)
    if seen is not None and newest is not None and newest.pk != seen:
        raise StaleEdit(mine={kind: text}, theirs={kind: newest.text})
    at = at or timezone.now()
    written = note(ticket, by, NOTE_KIND[kind], text, at)
    tell(Kind.STORY_WRITTEN, ticket, by, at, codes={"part": kind}, note=written)
    return written


@transaction.atomic
def story_rewrite(
    *, ticket: Ticket, by: Person, texts: Mapping[str, str], seen: Mapping[str, int]
) -> None:
    """Keep those of the four texts that differ from what stands, or none."""
    standing = {part: note.text for part, note in current_notes(ticket).items()}
    for part, text in texts.items():
        if text.strip() != standing.get(part, ""):
            story_write(
                ticket=ticket, by=by, kind=part, text=text, seen=seen.get(part, 0)
            )


@transaction.atomic
def ticket_park(
    *,
    ticket: Ticket,
    by: Person,
    until: date | datetime | None,
    because: str,
    waits_for: str,
    at: datetime | None = None,
) -> Event:
    """Set a ticket aside for a reason that is a code.

    It ends itself: at the moment ``until``, or as that day begins.
    """
    still_open(ticket)
    at = at or timezone.now()
    if waits_for not in PARTY:
        raise Refused(_("Say who or what it waits for."), field="waits_for")
    if not because.isidentifier() or len(because) > LONGEST_CODE:
        raise Refused(_("Choose the reason from the list."), field="because")
    ends = None if until is None else _moment_of(until, ticket.shop)
    if ends is not None and ends <= at:
        raise Refused(_("That moment is over: it ends later."), field="until")
    codes = {
        "waits_for": waits_for,
        "because": because,
        "until": None if ends is None else ends.isoformat(),
    }
    return tell(Kind.PARKED, ticket, by, at, person_id=by.pk, codes=codes)


def _moment_of(until: date | datetime, shop: Shop) -> datetime:
    if isinstance(until, datetime):
        return until.astimezone(UTC)
    return datetime.combine(until, time(), shop.zone).astimezone(UTC)


@transaction.atomic
def ticket_unpark(*, ticket: Ticket, by: Person, at: datetime | None = None) -> Event:
    still_open(ticket)
    return tell(Kind.UNPARKED, ticket, by, at)


@transaction.atomic
def customer_told(
    *,
    ticket: Ticket,
    by: Person,
    channel: str,
    next_contact: date | None,
    said: Said | None = None,
    has_phoned: bool = False,
    at: datetime | None = None,
) -> Event:
    """The customer heard from us; ``next_contact`` is the day to speak again.

    ``said`` are the sentences that were read out; ``has_phoned`` where they asked.
    """
    still_open(ticket)
    at = at or timezone.now()
    if channel not in dict(TELLING):
        raise Refused(_("Say how: phone, text message or e-mail."), field="channel")
    if next_contact is not None and next_contact < _day_of(at, ticket.shop):
        raise Refused(_("That day is over."), field="next_contact")
    day = None if next_contact is None else next_contact.isoformat()
    codes: dict[str, str | int | None] = {"channel": str(channel), "next_contact": day}
    words, amounts = keepable(said) if said else ({}, {})
    codes |= words | ({"has_phoned": True} if has_phoned else {})
    return tell(Kind.CUSTOMER_TOLD, ticket, by, at, codes=codes, amounts=amounts)


def _day_of(at: datetime, shop: Shop) -> date:
    return at.astimezone(shop.zone).date()


@transaction.atomic
def promise_make(
    *,
    ticket: Ticket,
    by: Person,
    promise: datetime,
    about: str = READY,
    at: datetime | None = None,
) -> Event:
    """Promise the customer a day; it stands until kept or made anew."""
    still_open(ticket)
    return promise_tell(ticket, by, promise, about=about, at=at or timezone.now())


def promise_tell(
    ticket: Ticket,
    by: Person,
    promise: datetime,
    *,
    about: str,
    at: datetime,
    field: str = "promise",
) -> Event:
    """``field`` is where the form of the act asks for it."""
    if promise <= at:
        raise Refused(_("That moment is over."), field=field)
    codes = {"promise": promise.astimezone(UTC).isoformat(), "about": about}
    return tell(Kind.PROMISE_MADE, ticket, by, at, codes=codes)
