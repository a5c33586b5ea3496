"""The database as it is at one moment, in one file, while the shop works on."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from time import monotonic

from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper
from django.utils.translation import gettext as _

from shop.keeping import postgres
from shop.records.errors import Refused

Counts = dict[str, int]
# How long somebody else may hold the database for themselves alone (judgement).
PATIENCE_SECONDS = 60.0
HELD = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}


@dataclass(frozen=True)
class Snapshot:
    """A file of the folder it was made in, and the rows of each table in it."""

    file: Path
    counts: Counts


def snapshot(folder: Path) -> Snapshot:
    """Never from inside an act: what it has not kept yet is in no snapshot.

    SQLite would wait for the act to end, which waits for the snapshot.
    """
    if connection.in_atomic_block:
        raise Refused(_("A backup is made between two acts, never inside of one."))
    if connection.vendor == "sqlite":
        return of_sqlite(folder / "database.sqlite3")
    return of_postgresql(folder / "database.pgdump")


def of_sqlite(file: Path) -> Snapshot:
    """SQLite's own online copy, in one step; then asked whether it is whole."""
    connection.ensure_connection()
    with closing(sqlite3.connect(file)) as copy:
        copied(connection.connection, copy)
        copy.execute("PRAGMA journal_mode=DELETE")  # one file, without its log
        faults = [row[0] for row in copy.execute("PRAGMA integrity_check")]
        if faults != ["ok"]:
            raise Refused(_("The database is damaged: %(what)s") % {"what": faults[0]})
        names = copy.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        tables = [name for (name,) in names if not name.startswith("sqlite_")]
        counts = {
            name: copy.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0]  # noqa: S608  a table's own name
            for name in sorted(tables)
        }
    return Snapshot(file, counts)


def copied(line: sqlite3.Connection, copy: sqlite3.Connection) -> None:
    line.backup(copy, progress=_patient(PATIENCE_SECONDS))


def _patient(seconds: float) -> Callable[[int, int, int], None]:
    """``sqlite3`` would try for ever where somebody holds the database alone."""
    until = monotonic() + seconds

    def tried(status: int, _left: int, _pages: int) -> None:
        if status in HELD and monotonic() > until:
            raise Refused(_("Something else holds the database: no copy can be made."))

    return tried


def of_postgresql(file: Path) -> Snapshot:
    """``pg_dump`` at the very moment of a transaction that counts the rows."""
    program = postgres.program("pg_dump")
    line = connection.copy()
    try:
        with line.cursor() as cursor:
            cursor.execute("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY")
            cursor.execute("SELECT pg_export_snapshot()")
            moment = str(cursor.fetchone()[0])
            tables = line.introspection.table_names(cursor)
            counts = {}
            for name in tables:
                cursor.execute(f"SELECT count(*) FROM {line.ops.quote_name(name)}")  # noqa: S608  a table's own name
                counts[name] = int(cursor.fetchone()[0])
            dump(program, line, moment, file)
    finally:
        line.close()
    return Snapshot(file, counts)


def dump(program: str, line: BaseDatabaseWrapper, moment: str, file: Path) -> None:
    wish = ["--format=custom", "--no-owner", f"--snapshot={moment}", f"--file={file}"]
    postgres.run(program, line, wish)
