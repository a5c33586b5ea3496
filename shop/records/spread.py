"""How the database learns how its rows are spread, by which it chooses its ways.

PostgreSQL looks by itself (autovacuum), but not before the first page after many rows
came at once. SQLite is left alone: a look at some rows of each index, as it advises
for large databases (``analysis_limit``), makes it believe that one shop has few of
all rows, and the counter's page of 0.2 s then took more than 12 s in a shop of 200,000
tickets; a look at all of them holds writers off meanwhile.
"""

from django.db import DEFAULT_DB_ALIAS, connections


def look(alias: str = DEFAULT_DB_ALIAS) -> None:
    """At every table, now, where many rows have just come."""
    line = connections[alias]
    if line.vendor == "postgresql":
        with line.cursor() as cursor:
            cursor.execute("ANALYZE")
