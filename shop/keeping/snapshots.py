"""The database as it is at one moment, in one file, while the shop works on."""

import os
import shutil
import sqlite3
import subprocess
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper
from django.utils.translation import gettext as _

from shop.records.errors import Refused

Counts = dict[str, int]
DEBIAN = Path("/usr/lib/postgresql")


@dataclass(frozen=True)
class Snapshot:
    """A file of the folder it was made in, and the rows of each table in it."""

    file: Path
    counts: Counts


def snapshot(folder: Path) -> Snapshot:
    if connection.vendor == "sqlite":
        return of_sqlite(folder / "database.sqlite3")
    return of_postgresql(folder / "database.pgdump")


def of_sqlite(file: Path) -> Snapshot:
    """SQLite's own online copy, in one step; then asked whether it is whole."""
    connection.ensure_connection()
    with closing(sqlite3.connect(file)) as copy:
        connection.connection.backup(copy)
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


def of_postgresql(file: Path) -> Snapshot:
    """``pg_dump`` at the very moment of a transaction that counts the rows."""
    program = pg_dump()
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


def pg_dump() -> str:
    """PostgreSQL's own program: in the path, or Debian's newest."""
    ours = DEBIAN.glob("*/bin/pg_dump")
    newest = max(ours, key=lambda path: int(path.parts[-3]), default=None)
    if program := shutil.which("pg_dump") or (newest and str(newest)):
        return program
    raise Refused(
        _(
            "A backup of PostgreSQL needs its program pg_dump, which is not on this "
            "machine: apt-get install postgresql-client"
        )
    )


def dump(program: str, line: BaseDatabaseWrapper, moment: str, file: Path) -> None:
    told, own = line.client.settings_to_cmd_args_env(line.settings_dict, [])
    wish = ["--format=custom", "--no-owner", f"--snapshot={moment}", f"--file={file}"]
    done = subprocess.run(  # noqa: S603  a fixed program; its words are the settings'
        [program, *wish, *told[1:]],
        env=os.environ | (own or {}),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        reason = done.stderr.strip().splitlines() or [str(done.returncode)]
        raise Refused(_("pg_dump says: %(what)s") % {"what": reason[0]})
