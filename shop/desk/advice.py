"""What the engine says at the moments of a ticket, kept beside what came of it."""

from diagnostics import queries as bench
from diagnostics import services as acts
from diagnostics.models import Advice
from shop.intake.models import Ticket
from shop.records import services as records
from shop.records.kinds import Kind
from shop.records.models import Event

MOMENTS = {
    Kind.QUOTE_SENT: Advice.Moment.QUOTE_DRAFTED,
    Kind.TICKET_CLOSED: Advice.Moment.TICKET_CLOSED,
}


def listen() -> None:
    for kind in MOMENTS:
        records.when(kind, keep)


def keep(event: Event) -> None:
    """One row for each board of the event's ticket."""
    assert event.ticket_id is not None, "quotes and closings are of a ticket"
    ticket = Ticket.objects.get(pk=event.ticket_id)
    for board in bench.boards_of(ticket):
        acts.advice_keep(
            board=board,
            ticket=ticket,
            by=event.by,
            moment=MOMENTS[Kind(event.kind)],
            at=event.at,
        )
