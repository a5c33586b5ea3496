"""What this room's columns hold (``shop/records/holding.py``).

The pictures are files: ``services.erased`` takes them out of the storage.
"""

from shop.records.holding import Table, table

TABLES: dict[str, Table] = {
    "Link": table(
        staff="made_by",
        keys="token_hash",
        technical="id ticket made_at until ended_at",
        of_ticket="ticket",
        stamp="ended_at",
    ),
    "Photo": table(
        staff="by",
        business="side taken_at received_at",
        technical="id shop ticket board_id name width height bytes sha256 sent_id link"
        " station note erased_at files_gone_at",
        of_ticket="ticket",
    ),
    "Keeping": table(business="days", technical="id shop"),
}
