"""Acts of the counter. Each is one transaction and leaves an event."""

from shop.intake.services.closing import (
    handover_do,
    outcome_record,
    thing_return,
)
from shop.intake.services.customers import (
    customer_change,
    customer_keep,
    device_keep,
)
from shop.intake.services.placing import (
    place_end,
    places_make,
    thing_move,
    thing_move_back,
)
from shop.intake.services.tickets import (
    ThingDraft,
    ticket_open,
    ticket_take_in,
)
from shop.intake.services.waiting import (
    customer_told,
    promise_make,
    story_rewrite,
    story_write,
    ticket_park,
    ticket_unpark,
)

__all__ = [
    "ThingDraft",
    "customer_change",
    "customer_keep",
    "customer_told",
    "device_keep",
    "handover_do",
    "outcome_record",
    "place_end",
    "places_make",
    "promise_make",
    "story_rewrite",
    "story_write",
    "thing_move",
    "thing_move_back",
    "thing_return",
    "ticket_open",
    "ticket_park",
    "ticket_take_in",
    "ticket_unpark",
]
