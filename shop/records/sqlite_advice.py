"""What SQLite's version means for a shop with several writers. PURE.

SQLite 3.7.0 to 3.51.2 may, rarely, damage a database in WAL mode when several
connections write and checkpoint at once; fixed in 3.51.3 (SQLite release notes).
"""

Version = tuple[int, int, int]
FIRST_WITH_FAULT: Version = (3, 7, 0)
FIRST_WITHOUT: Version = (3, 51, 3)
ADVICE = (
    "SQLite %s has a rare fault with several writers (fixed in 3.51.3). "
    "For a shop's own data PostgreSQL is advised: set DATABASE_URL."
)


def has_wal_reset_fault(version: Version) -> bool:
    return FIRST_WITH_FAULT <= version < FIRST_WITHOUT
