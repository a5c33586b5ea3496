"""How the database learns how its rows are spread, by which it chooses its ways.

PostgreSQL looks by itself (autovacuum), a while after many rows came. SQLite never
does; and before 3.46 its ``PRAGMA optimize`` looks at no table but those that the same
connection asked before, so that a nightly process would find nothing to do.
"""

from django.db import DEFAULT_DB_ALIAS, connection, connections

# Rows of an index that SQLite looks at: 100 to 1000 are advised (lang_analyze.html).
LOOKED_AT = 1000


def look(alias: str = DEFAULT_DB_ALIAS) -> None:
    """At every table, now."""
    line = connections[alias]
    with line.cursor() as cursor:
        if line.vendor == "sqlite":
            cursor.execute(f"PRAGMA analysis_limit = {LOOKED_AT}")
        cursor.execute("ANALYZE")


def job() -> None:
    """By night, for the database that never looks by itself."""
    if connection.vendor == "sqlite":
        look()
