"""Drafts of quotes: written down, and sent by a person or not at all."""

from collections.abc import Iterable, Sequence
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from shop.billing.lines import columns_of
from shop.billing.models import QuoteDraft, QuoteDraftLine
from shop.billing.quote_state import next_version
from shop.billing.services import checks
from shop.billing.totals import Line
from shop.intake.models import Ticket
from shop.people.models import Person


@transaction.atomic
def quote_draft_keep(
    *,
    ticket: Ticket,
    by: Person,
    lines: Sequence[Line],
    cause: str = "",
    risks: Iterable[str] = (),
    at: datetime | None = None,
) -> QuoteDraft:
    """Keep what the next version of the ticket's quote is to say."""
    ticket = checks.ticket_locked(ticket)
    draft = QuoteDraft.objects.create(
        ticket=ticket,
        version=next_version(ticket),
        cause=cause,
        risks=" ".join(risks),
        by=by,
        at=at or timezone.now(),
    )
    QuoteDraftLine.objects.bulk_create(
        QuoteDraftLine(draft=draft, **columns_of(line, position))
        for position, line in enumerate(lines, start=1)
    )
    return draft
