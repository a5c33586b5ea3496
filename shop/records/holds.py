"""What this room's columns hold (``shop/records/holding.py``)."""

from shop.records.holding import Table, table

TABLES: dict[str, Table] = {
    "Note": table(
        customer="text",
        staff="by",
        business="kind at",
        technical="id shop_id ticket_id erased_at",
        of_ticket="ticket_id",
        stamp="erased_at",
    ),
    # Numbers, codes and amounts alone: what a person wrote is in the note.
    "Event": table(
        staff="person_id by",
        business="kind at codes amounts",
        technical="id shop_id ticket_id board_id reading_id recorded_at ids note",
        of_ticket="ticket_id",
    ),
    # ``body`` is a page as it was answered: emptied whenever somebody is erased.
    "KeptAnswer": table(
        customer="body",
        staff="person_id",
        keys="key request_hash",
        technical="status headers kept_at",
    ),
    "NumberSeries": table(technical="id shop_id kind next_number"),
    "OutgoingMessage": table(
        customer="to subject text reply_to",
        business="channel kind queued_at sent_at",
        technical="id shop_id ticket_id message_id next_try_at tries given_up_at"
        " last_error begun_at doubts sent_by about_event_id withheld paper customer_id",
        of_customer="customer_id",
        of_ticket="ticket_id",
    ),
    "Lease": table(technical="name holder until"),
    "JobRun": table(
        technical="name next_at started_at ended_at went_well_at failures last_error"
    ),
}
