"""What this room's columns hold (``shop/records/holding.py``).

Figures made of events: nothing of a customer's, and who worked on a ticket.
"""

from shop.records.holding import Table, table

TABLES: dict[str, Table] = {
    "TicketDays": table(
        staff="technician",
        business="opened closed queue hands parked customer supplier handover"
        " to_reading to_quote is_warranty told found family",
        technical="ticket shop newest_event",
    ),
    "CountedUpTo": table(technical="id event"),
}
