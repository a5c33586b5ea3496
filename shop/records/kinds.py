"""The kinds of events, each with what it means. PURE.

A kind is never reused for another meaning.
"""

from enum import StrEnum


class Kind(StrEnum):
    TICKET_OPENED = "ticket_opened"
    CUSTOMER_TOLD = "customer_told"
    PROMISE_MADE = "promise_made"
    THING_MOVED = "thing_moved"
    THING_RETURNED = "thing_returned"
    PLACE_MADE = "place_made"
    PLACE_ENDED = "place_ended"
    PARKED = "parked"
    UNPARKED = "unparked"
    STORY_WRITTEN = "story_written"
    OUTCOME_RECORDED = "outcome_recorded"
    TICKET_CLOSED = "ticket_closed"

    STATION_ENROLLED = "station_enrolled"
    STATION_ENDED = "station_ended"
    PRINTERS_SET = "printers_set"

    METER_KEPT = "meter_kept"
    BOARD_JOINED = "board_joined"
    BOARD_TAKEN = "board_taken"
    BOARD_PUT_DOWN = "board_put_down"
    POINT_NOT_FITTED = "point_not_fitted"
    READING_STRUCK = "reading_struck"
    GATE_OVERRULED = "gate_overruled"
    SUSPECT_NAMED = "suspect_named"
    SUSPECT_ADDED = "suspect_added"
    SUSPECT_STRUCK = "suspect_struck"
    SUSPECT_WORD_BACK = "suspect_word_back"
    SIGHTING_KEPT = "sighting_kept"
    SIGHTING_STRUCK = "sighting_struck"
    INTERVENTION_DONE = "intervention_done"
    FINDING_CONFIRMED = "finding_confirmed"
    LORE_KEPT = "lore_kept"
    PROOF_GIVEN = "proof_given"

    QUOTE_SENT = "quote_sent"
    QUOTE_ACCEPTED = "quote_accepted"
    QUOTE_DECLINED = "quote_declined"
    PART_ORDERED = "part_ordered"
    PART_ARRIVED = "part_arrived"
    PART_USED = "part_used"
    TIME_RECORDED = "time_recorded"
    PAYMENT_TAKEN = "payment_taken"
    INVOICE_ISSUED = "invoice_issued"
    CREDIT_NOTE_ISSUED = "credit_note_issued"
    DATA_SAFE = "data_safe"
