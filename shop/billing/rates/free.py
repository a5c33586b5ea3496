"""Work that nobody pays: under warranty, or out of goodwill.

Lines stay on the bill at no price, minutes and costs are kept: the owner sees what it
cost the shop.
"""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.intake import cover
from shop.intake.models import Ticket
from shop.intake.services.rows import note, still_open, tell
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event


class Free(StrEnum):
    NO = ""
    WARRANTY = "warranty"
    GOODWILL = "goodwill"


@dataclass(frozen=True)
class Goodwill:
    """The owner's newest word on it."""

    is_given: bool
    event: Event

    @property
    def reason(self) -> str:
        return self.event.note.text if self.event.note else ""


def goodwill_of(ticket: Ticket) -> Goodwill | None:
    event = (
        Event.objects.filter(ticket_id=ticket.pk, kind=Kind.GOODWILL_DECIDED)
        .select_related("by", "note")
        .order_by("id")
        .last()
    )
    return None if event is None else Goodwill(bool(event.codes["is_given"]), event)


def free_because(ticket: Ticket) -> Free:
    if cover.is_covered(ticket):
        return Free.WARRANTY
    said = goodwill_of(ticket)
    return Free.GOODWILL if said is not None and said.is_given else Free.NO


@transaction.atomic
def goodwill_decide(
    *,
    ticket: Ticket,
    by: Person,
    is_given: bool,
    reason: str,
    at: datetime | None = None,
) -> Event:
    """At no charge, or charged again after all; in writing. An invoice stands."""
    still_open(ticket)
    said = goodwill_of(ticket)
    if (said is not None and said.is_given) == is_given:
        raise Refused(
            _("It is at no charge already.")
            if is_given
            else _("It is charged already.")
        )
    if ticket.invoices.filter(kind="invoice", credit_notes=None).exists():
        raise Refused(_("This ticket is billed already: take the invoice back first."))
    at = at or timezone.now()
    words = note(ticket, by, "goodwill", reason, at)
    codes = {"is_given": is_given}
    return tell(Kind.GOODWILL_DECIDED, ticket, by, at, codes=codes, note=words)
