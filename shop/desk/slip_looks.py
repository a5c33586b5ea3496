"""That the customer's page was opened: an event, at most once an hour."""

from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from shop.intake.models import Ticket
from shop.intake.services.rows import lock
from shop.records import services as records
from shop.records.kinds import Kind
from shop.records.models import Event

AT_MOST_EVERY = timedelta(hours=1)


@transaction.atomic
def looked(ticket: Ticket) -> None:
    """Told by the page itself, not by asking for it: a scanner of mails looks at none.

    Where no script runs, the first step of an answer tells it.
    """
    lock(ticket)
    last = last_look(ticket)
    now = timezone.now()
    if last is not None and now - last.at < AT_MOST_EVERY:
        return
    records.event_record(
        Kind.SLIP_LINK_SEEN,
        shop_id=ticket.shop_id,
        ticket_id=ticket.pk,
        by_id=None,
        at=now,
    )


def last_look(ticket: Ticket) -> Event | None:
    rows = Event.objects.filter(ticket_id=ticket.pk, kind=Kind.SLIP_LINK_SEEN)
    return rows.order_by("id").last()
