"""What a person does about a message: try again, say it was told, send the invoice."""

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing import queries as money
from shop.intake import queries
from shop.intake import services as intake
from shop.intake.models import Channel, Ticket
from shop.intake.services.rows import lock
from shop.messaging.wording import way_to
from shop.people.models import Person, TextKind
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.messages import Withheld
from shop.records.models import Event, OutgoingMessage

OTHERWISE = "otherwise"
NOT_SENT_YET = {
    "sent_at": None,
    "given_up_at": None,
    "begun_at": None,
    "withheld": "",
    "last_error": "",
    "tries": 0,
    "doubts": 0,
}
NOT_WORDED_YET = dict.fromkeys(("channel", "to", "subject", "text", "reply_to"), "")


@transaction.atomic
def message_again(*, message: OutgoingMessage) -> None:
    """Back in the queue, worded anew: the address may have been put right."""
    row = OutgoingMessage.objects.select_for_update().get(pk=message.pk)
    if row.sent_at is not None:
        raise Refused(_("It was sent already."))
    OutgoingMessage.objects.filter(pk=row.pk).update(
        **NOT_SENT_YET, **NOT_WORDED_YET, next_try_at=timezone.now()
    )


@transaction.atomic
def message_told(
    *, message: OutgoingMessage, ticket: Ticket, by: Person
) -> Event | None:
    """The customer was told by phone instead: it goes out no more."""
    lock(ticket)
    row = OutgoingMessage.objects.select_for_update().get(pk=message.pk)
    is_out = row.sent_at is not None and row.sent_by != "file"
    if is_out or row.withheld == "told":
        raise Refused(_("The customer has been told already."))
    now = timezone.now()
    OutgoingMessage.objects.filter(pk=row.pk).update(withheld="told", given_up_at=now)
    if hasattr(ticket, "handover"):
        return None
    day = queries.turn_of(ticket, now).next_contact
    today = now.astimezone(ticket.shop.zone).date()
    return intake.customer_told(
        ticket=ticket,
        by=by,
        channel=Channel.PHONE,
        next_contact=day if day and day >= today else None,
        at=now,
    )


@transaction.atomic
def message_otherwise(*, message: OutgoingMessage, by: Person) -> Event:
    """An account got its paper another way, by post or by hand: it goes out no more."""
    row = OutgoingMessage.objects.select_for_update().get(pk=message.pk)
    is_out = row.sent_at is not None and row.sent_by != "file"
    if is_out or row.withheld == OTHERWISE:
        raise Refused(_("The customer has it already."))
    now = timezone.now()
    OutgoingMessage.objects.filter(pk=row.pk).update(
        withheld=OTHERWISE, given_up_at=now
    )
    return records.event_record(
        Kind.MESSAGE_OTHERWISE,
        shop_id=row.shop_id,
        by_id=by.pk,
        at=now,
        ids={"message": row.pk},
        codes={"about": row.kind},
    )


@transaction.atomic
def invoice_send(*, ticket: Ticket) -> OutgoingMessage:
    """Send the standing invoice by e-mail, once."""
    lock(ticket)
    invoice = money.standing_invoice(ticket)
    if invoice is None:
        raise Refused(_("There is no invoice yet."))
    try:
        way_to(ticket, TextKind.INVOICE)
    except Withheld:
        raise Refused(_("The customer has given no e-mail address.")) from None
    return records.message_ask(
        shop_id=ticket.shop_id,
        ticket_id=ticket.pk,
        message_id=f"{TextKind.INVOICE.value}-{invoice.pk}",
        kind=TextKind.INVOICE.value,
        paper=invoice.number,
    )
