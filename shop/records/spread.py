"""How the database learns how its rows are spread, by which it chooses its ways.

PostgreSQL looks by itself (autovacuum), but not before the first page after many rows
came at once. SQLite never does, and then the office's money takes more than 10 s in a
shop of 200,000 tickets. It looks at every row of each index: at some of them, as it
advises (``analysis_limit``), it believes that one shop has few of all rows, and the
counter's page takes more than 12 s. That holds writers off, 8 s in that shop, who
wait for 20; so it is done by night.
"""

from django.db import DEFAULT_DB_ALIAS, connection, connections


def look(alias: str = DEFAULT_DB_ALIAS) -> None:
    """At every table, now."""
    line = connections[alias]
    with line.cursor() as cursor:
        if line.vendor == "sqlite":
            cursor.execute("PRAGMA analysis_limit = 0")
        cursor.execute("ANALYZE")


def job() -> None:
    """By night, for the database that never looks by itself."""
    if connection.vendor == "sqlite":
        look()
