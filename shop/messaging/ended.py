"""A message that went out, or never will, stands among the ticket's events.

One about no ticket stands among the house's, so that the day list is drawn anew.
"""

from shop.records import services as records
from shop.records.kinds import Kind
from shop.records.models import OutgoingMessage


def tell(message: OutgoingMessage) -> None:
    if not message.kind:
        return
    records.event_record(
        Kind.MESSAGE_SENT if message.sent_at else Kind.MESSAGE_FAILED,
        shop_id=message.shop_id,
        ticket_id=message.ticket_id,
        by_id=None,
        at=message.sent_at or message.given_up_at,
        ids={"message": message.pk},
        codes={
            "about": message.kind,
            "channel": message.channel,
            "sent_by": message.sent_by,
        },
    )
