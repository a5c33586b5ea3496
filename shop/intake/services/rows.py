"""What every act of the counter does: keep a checked row, tell an event."""

from datetime import datetime
from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.db.models import Model
from django.utils.translation import gettext as _

from shop.intake.models import Handover, Ticket
from shop.people.models import Person
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event, Note

LONGEST_TEXT = 5000
Row = TypeVar("Row", bound=Model)


def keep(row: Row, *, update_fields: list[str] | None = None) -> Row:
    """Save a row that its own model finds in order, else refuse it in words."""
    checked(row).save(update_fields=update_fields)
    return row


def checked(row: Row) -> Row:
    """The row, if its own model finds it in order; else refused in words."""
    links = {f.name for f in row._meta.fields if f.is_relation}
    try:
        row.full_clean(exclude=links, validate_unique=False)
    except ValidationError as error:
        field, messages = next(iter(error.message_dict.items()))
        raise Refused(messages[0], field=field) from error
    return row


def lock(ticket: Ticket) -> None:
    """Acts on one ticket wait for each other."""
    Ticket.objects.select_for_update().only("pk").get(pk=ticket.pk)


def still_open(ticket: Ticket) -> None:
    """Lock the ticket; refuse the act when it was handed over."""
    lock(ticket)
    if Handover.objects.filter(ticket=ticket).exists():
        raise Refused(_("This ticket is closed: the device was handed over."))


def tell(
    kind: Kind, ticket: Ticket, by: Person, at: datetime | None, **more: Any
) -> Event:
    return records.event_record(
        kind,
        shop_id=ticket.shop_id,
        ticket_id=ticket.pk,
        by_id=by.pk,
        at=at,
        **more,
    )


def note(ticket: Ticket, by: Person, kind: str, text: str, at: datetime) -> Note:
    """Keep a person's words; refused when there are none or far too many."""
    if ticket.erased_at is not None:
        raise Refused(_("What was personal here is erased: no more words are kept."))
    text = text.strip()
    if not text:
        raise Refused(_("Write a few words."), field="text")
    if len(text) > LONGEST_TEXT:
        raise Refused(
            _("At most %(n)d characters.") % {"n": LONGEST_TEXT}, field="text"
        )
    return records.note_keep(
        shop_id=ticket.shop_id,
        ticket_id=ticket.pk,
        kind=kind,
        text=text,
        by_id=by.pk,
        at=at,
    )
