"""PostgreSQL's own programs, and an empty database that is filled or emptied again."""

import os
import shutil
import subprocess
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper
from django.utils.translation import gettext as _

from shop.records.errors import Refused

DEBIAN = Path("/usr/lib/postgresql")
OWN_FUNCTIONS = """
    SELECT p.oid::regprocedure::text FROM pg_proc p
    WHERE p.pronamespace = current_schema()::regnamespace AND NOT EXISTS (
        SELECT 1 FROM pg_depend d WHERE d.objid = p.oid AND d.deptype = 'e')
"""


def program(name: str) -> str:
    """One of PostgreSQL's: in the path, or Debian's newest."""
    ours = DEBIAN.glob(f"*/bin/{name}")
    newest = max(ours, key=lambda path: int(path.parts[-3]), default=None)
    if found := shutil.which(name) or (newest and str(newest)):
        return found
    raise Refused(
        _(
            "A backup of PostgreSQL needs its program %(name)s, which is not on this "
            "machine: apt-get install postgresql-client"
        )
        % {"name": name}
    )


def run(command: str, line: BaseDatabaseWrapper, wish: Sequence[str]) -> None:
    """A program on that database; refused with the first line it complains in."""
    told, own = line.client.settings_to_cmd_args_env(line.settings_dict, [])
    *where, database = told[1:]
    done = subprocess.run(  # noqa: S603  a fixed program; its words are the settings'
        [command, *where, f"--dbname={database}", *wish],
        env=os.environ | (own or {}),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        reason = done.stderr.strip().splitlines() or [str(done.returncode)]
        said = {"program": Path(command).name, "what": reason[0]}
        raise Refused(_("%(program)s says: %(what)s") % said)


def restore(dump: Path) -> None:
    """All of a dump into the connected, empty database, or nothing of it."""
    wish = ["--no-owner", "--no-privileges", "--no-comments", "--exit-on-error"]
    run(program("pg_restore"), connection, [*wish, "--single-transaction", str(dump)])


@contextmanager
def emptied_unless_well() -> Iterator[None]:
    """What we brought into an empty database goes again when the rest fails."""
    try:
        yield
    except BaseException:
        if connection.vendor == "postgresql":
            empty()
        raise


def empty() -> None:
    connection.close()
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            name = connection.ops.quote_name(table)
            cursor.execute(f"DROP TABLE IF EXISTS {name} CASCADE")
        cursor.execute(OWN_FUNCTIONS)
        for (function,) in cursor.fetchall():
            cursor.execute(f"DROP FUNCTION IF EXISTS {function} CASCADE")


@contextmanager
def locked(number: int) -> Iterator[None]:
    """Nobody else holds that number on this PostgreSQL; elsewhere, nothing to do."""
    if connection.vendor != "postgresql":
        yield
        return
    line = connection.copy()
    try:
        with line.cursor() as cursor:
            cursor.execute("SELECT pg_try_advisory_lock(%s)", [number])
            if not cursor.fetchone()[0]:
                raise Refused(_("A restore is under way already."))
        yield
    finally:
        line.close()


def url() -> str:
    """The connected database's address, for a process of our own."""
    told = connection.settings_dict
    user, password = (
        quote(str(told[name] or ""), safe="") for name in ("USER", "PASSWORD")
    )
    who = f"{user}:{password}@" if password else f"{user}@" if user else ""
    host = quote(str(told["HOST"] or ""), safe="")
    port = f":{told['PORT']}" if told["PORT"] else ""
    return f"postgresql://{who}{host}{port}/{quote(str(told['NAME']), safe='')}"
