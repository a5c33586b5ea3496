"""What this room's columns hold (``shop/records/holding.py``).

The words of a ticket's rows once more, and their trigrams: the rows go, and what is
left to be found of a ticket is written anew.
"""

from shop.records.holding import Table, table

TABLES: dict[str, Table] = {
    "TicketText": table(
        customer="text", technical="ticket shop", of_ticket="ticket", goes=True
    ),
}
