"""What this room's columns hold (``shop/records/holding.py``).

A paper that waits is made when its turn comes: no customer is here.
"""

from shop.records.holding import Table, table

TABLES: dict[str, Table] = {
    "StationPrinter": table(technical="id station paper printer"),
    "PrintJob": table(
        staff="asked_by",
        technical="id shop what subject_id part ticket_id printer asked_at next_try_at"
        " tries last_error request handed_at printed_at withdrawn_at",
    ),
}
