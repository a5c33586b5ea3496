"""What this room's columns hold (``shop/records/holding.py``).

A sheet shows counts, sums and who worked how long: no customer is on it.
"""

from shop.records.holding import Table, table

TABLES: dict[str, Table] = {
    "WeeklySheet": table(business="monday language pdf", technical="id shop made_at"),
    "WeeklyWish": table(staff="person is_wished at", technical="id shop"),
}
