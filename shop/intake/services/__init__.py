"""Acts of the counter. Each is one transaction and leaves an event."""

from shop.intake.services.accounts import account_prices_set, account_set
from shop.intake.services.closing import (
    Ending,
    handover_do,
    outcome_record,
    thing_return,
    ticket_withdraw,
)
from shop.intake.services.customers import (
    customer_change,
    customer_draft,
    customer_keep,
)
from shop.intake.services.devices import PUT_RIGHT, device_change, device_keep
from shop.intake.services.finishing import (
    data_safe_record,
    intake_answer,
    intake_finish,
    parcel_unpack,
    warranty_decide,
)
from shop.intake.services.outage import (
    SLIPS_A_PACK,
    OnPaper,
    pack_print,
    paper_slip_restore,
    paper_slips_void,
)
from shop.intake.services.placing import (
    place_end,
    places_make,
    thing_move,
    thing_move_back,
)
from shop.intake.services.things_in import ThingDraft
from shop.intake.services.tickets import (
    Machine,
    ticket_open,
    ticket_take_in,
    tickets_take_in,
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
    "PUT_RIGHT",
    "SLIPS_A_PACK",
    "Ending",
    "Machine",
    "OnPaper",
    "ThingDraft",
    "account_prices_set",
    "account_set",
    "customer_change",
    "customer_draft",
    "customer_keep",
    "customer_told",
    "data_safe_record",
    "device_change",
    "device_keep",
    "handover_do",
    "intake_answer",
    "intake_finish",
    "outcome_record",
    "pack_print",
    "paper_slip_restore",
    "paper_slips_void",
    "parcel_unpack",
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
    "ticket_withdraw",
    "tickets_take_in",
    "warranty_decide",
]
