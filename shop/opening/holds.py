"""What this room's columns hold (``shop/records/holding.py``).

A file of old customers is of many people at once: a run that was not brought in is
thrown away when one of them is erased (``rights.searched``), else after some days.
"""

from shop.records.holding import Table, table

TABLES: dict[str, Table] = {
    "StepDone": table(staff="by at", technical="id shop step"),
    "ImportRun": table(
        customer="body",
        staff="by",
        technical="id shop what file_name digest encoding separator columns rows"
        " checked_rows made uploaded_at done_at undone_at",
    ),
    "ImportRow": table(
        customer="values problem key key_2",
        technical="id run line state column",
    ),
}
