"""What this room's columns hold (``shop/records/holding.py``).

Figures made of events: nothing of a customer's, and who worked on a ticket. A weekly
sheet shows counts, sums and who worked how long.
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
    "WeeklySheet": table(business="monday language pdf", technical="id shop made_at"),
    "WeeklyWish": table(staff="person is_wished at", technical="id shop"),
}
