"""A management command in a process and an empty database of its own.

``DATABASE_URL`` may name the database that a shop works with. Its server is
used, as the test run uses it; its tables are never touched: the command gets a
database that is made for it and dropped behind it.
"""

import os
import subprocess
import sys
import tempfile
import uuid
from argparse import ArgumentParser
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

import psycopg
from django.core.management import CommandError, call_command
from django.db import connection
from psycopg import sql

from shop.bootstrap import Stop
from tests import machine

ROOT = Path(__file__).resolve().parent.parent
DATABASES = ("sqlite", "postgresql")


def add_choice(parser: ArgumentParser) -> None:
    """The arguments that every command which runs elsewhere takes."""
    parser.add_argument("--database", choices=(*DATABASES, "both"), default="both")
    parser.add_argument(
        "--here", action="store_true", help="in the connected, empty database"
    )


def on_each_database(
    command: Sequence[str], choice: str, say: Callable[[str], object]
) -> bool:
    """Run ``manage.py command`` on the chosen databases; whether all went well."""
    chosen = [name for name in DATABASES if choice in {name, "both"}]
    try:
        machine.equip(needs_postgres="postgresql" in chosen, needs_browser=False)
        went_well = [run_on(name, command) for name in chosen]
    except Stop as reason:
        raise CommandError(str(reason)) from reason
    for name in DATABASES:
        if name not in chosen:
            say(f"Left out: {name} (--database {choice})")
    return all(went_well)


def run_on(database: str, command: Sequence[str]) -> bool:
    if database == "sqlite":
        return run(command, None)
    with machine.postgres() as server, own_database(server) as url:
        return run(command, url)


@contextmanager
def own_database(server: str) -> Iterator[str]:
    """A new database on this server, dropped at the end."""
    name = f"coldrail_{uuid.uuid4().hex}"
    tell(server, "CREATE DATABASE {}", name)
    try:
        yield urlsplit(server)._replace(path=f"/{name}").geturl()
    finally:
        tell(server, "DROP DATABASE {} WITH (FORCE)", name)


def tell(server: str, statement: str, name: str) -> None:
    with psycopg.connect(server, autocommit=True) as line:
        line.execute(sql.SQL(statement).format(sql.Identifier(name)))


def run(command: Sequence[str], url: str | None) -> bool:
    with tempfile.TemporaryDirectory(prefix="coldrail-") as folder:
        Path(folder, "static").mkdir()  # nothing is collected; nobody is warned
        environment = os.environ | {"COLDRAIL_DATA": folder, "COLDRAIL_PROFILE": "test"}
        environment.pop("DATABASE_URL", None)
        if url:
            environment["DATABASE_URL"] = url
        done = subprocess.run(
            [sys.executable, str(ROOT / "manage.py"), *command],
            env=environment,
            cwd=ROOT,
            check=False,
        )
    return done.returncode == 0


def into_empty_database() -> None:
    """Make our tables in the connected database, unless it holds any at all."""
    if connection.introspection.table_names():
        raise CommandError(
            "The connected database holds tables already: nothing was done. "
            "Leave out --here, and the command gets a database of its own."
        )
    call_command("migrate", verbosity=0)
