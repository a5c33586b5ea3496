"""The tables of an empty SQLite database, at once instead of migration by migration.

Django draws every model anew at nearly each step of a migration, which takes a minute
of a processor. ``first_tables.sql`` is what the migrations that it names have made, as
the database itself tells it. Those that came later follow as ever, and a database that
holds anything goes on from where it stands.
"""

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from django.db import DatabaseError, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

FILE = Path(__file__).with_suffix(".sql")
NAMED = "-- "
# The tables of a full text index come with it.
TOLD = """
SELECT sql FROM sqlite_master
WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\'
AND name NOT IN (SELECT name FROM pragma_table_list WHERE type = 'shadow')
ORDER BY type <> 'table', type, rowid
"""

Name = tuple[str, str]


def lay(line: BaseDatabaseWrapper) -> bool:
    """Make the tables where there are none yet; whether that was done.

    Where it can't be, nothing is: then the migrations make them, or say why not.
    """
    if line.vendor != "sqlite":
        return False
    text = FILE.read_text(encoding="utf-8")
    if not is_known(named_in(text)):
        return False
    try:
        with transaction.atomic(using=line.alias):
            return _lay(line, text)
    except DatabaseError:
        return False


def _lay(line: BaseDatabaseWrapper, text: str) -> bool:
    with line.cursor() as cursor:
        if line.introspection.table_names(cursor, include_views=True):
            return False
        for statement in statements_in(text):
            cursor.execute(statement)
    recorder = MigrationRecorder(line)
    recorder.migration_qs.bulk_create(
        recorder.Migration(app=app, name=name) for app, name in named_in(text)
    )
    return True


def is_known(names: Iterable[Name]) -> bool:
    """Whether this version has every one of these migrations."""
    return set(names) <= set(MigrationLoader(None).disk_migrations)


def told_by(line: BaseDatabaseWrapper) -> str:
    """What an empty, migrated database has to say: its migrations, then its tables."""
    applied = MigrationRecorder(line).migration_qs.order_by("id")
    names = [f"{NAMED}{app}.{name}" for app, name in applied.values_list("app", "name")]
    with line.cursor() as cursor:
        made = [f"{sql};" for (sql,) in cursor.execute(TOLD).fetchall()]
    return "\n".join([*names, "", *made, ""])


def named_in(text: str) -> Sequence[Name]:
    """The migrations that a file stands for, in the order in which they were done."""
    head = (one for one in text.splitlines() if one.startswith(NAMED))
    parted = (one.removeprefix(NAMED).partition(".") for one in head)
    return [(app, name) for app, _dot, name in parted]


def statements_in(text: str) -> Iterator[str]:
    """One by one: a trigger has semicolons of its own."""
    begun: list[str] = []
    for one in text.splitlines():
        if not begun and (not one or one.startswith(NAMED)):
            continue
        begun.append(one)
        statement = "\n".join(begun)
        if sqlite3.complete_statement(statement):
            yield statement
            begun = []
