"""What happens asks for its message, in the transaction in which it happens.

The words come later (``wording``): at once after the commit where that goes well,
else when the message's turn comes. So no text and no address ever stops an act.
"""

from datetime import timedelta
from functools import partial

from django.db import transaction
from django.utils import timezone

from shop.intake.facts import READY
from shop.intake.models import Ticket
from shop.people.models import TextKind
from shop.records import messages
from shop.records import services as records
from shop.records.kinds import Kind
from shop.records.models import Event, OutgoingMessage
from shop.records.senders import NotSent

# What is written down later than this was told long ago, by whoever did it.
FRESH = timedelta(days=2)
ASKS = {
    Kind.TICKET_OPENED: TextKind.TAKEN_IN,
    Kind.QUOTE_SENT: TextKind.QUOTE_SENT,
    Kind.PROMISE_MADE: TextKind.NEW_PROMISE,
    Kind.OUTCOME_RECORDED: TextKind.READY,
    Kind.TICKET_CLOSED: TextKind.THANKS,
}


def listen() -> None:
    for kind in ASKS:
        records.when(kind, happened)


def happened(event: Event) -> None:
    """Ask for the message of an event, once: its id is the event's."""
    if event.ticket_id is None or event.at < timezone.now() - FRESH:
        return
    if not _is_news(event):
        return
    kind = ASKS[Kind(event.kind)]
    message = records.message_ask(
        shop_id=event.shop_id,
        ticket_id=event.ticket_id,
        message_id=f"{kind.value}-{event.pk}",
        kind=kind.value,
        about_event_id=event.pk,
    )
    transaction.on_commit(partial(word_now, message.pk), robust=True)


def _is_news(event: Event) -> bool:
    """Not what was brought in from a file, nor what the first message says already."""
    match event.kind:
        case Kind.TICKET_OPENED:
            return "old_number" not in event.codes
        case Kind.TICKET_CLOSED:
            return "why" not in event.codes
        case Kind.PROMISE_MADE:
            opened = Ticket.objects.filter(opened_at=event.at)
            is_of_intake = opened.filter(pk__in=[event.ticket_id]).exists()
            return event.codes.get("about") == READY and not is_of_intake
    return True


def word_now(message_id: int) -> None:
    """Give a message its words, so that the ticket's page can show them."""
    message = OutgoingMessage.objects.filter(pk=message_id, given_up_at=None).first()
    if message is None or not messages.may_send(message.shop_id):
        return
    try:
        messages.word(message)
    except NotSent:
        return  # it is logged, and tried again when its turn comes
