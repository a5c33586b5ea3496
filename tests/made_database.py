"""The empty database, migrated once a run and copied by every worker of every step.

Migrating takes a minute of a processor where it goes step by step (PostgreSQL), a copy
next to nothing. Django then migrates the copy as it always does, and finds nothing to
do. A place that outlives a run (``COLDRAIL_MADE``) saves that minute too, but does not
see that a migration has been changed that it has applied.
"""

import fcntl
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from urllib.parse import urlsplit

import psycopg
from psycopg import sql

ROOT = Path(__file__).resolve().parent.parent
IN_MEMORY = "file:memorydb_default?mode=memory&cache=shared"  # as Django calls it
MEMORY = Path("/dev/shm")  # noqa: S108  where the system has it
MEMORY_OR_DISK = MEMORY if MEMORY.is_dir() else None
MADE = "coldrail_made"


def place(own: Path) -> Path:
    """Where the run keeps it; ``own`` where nobody said."""
    folder = Path(os.environ.get("COLDRAIL_MADE", own))
    folder.mkdir(parents=True, exist_ok=True)
    return folder


@contextmanager
def in_memory(folder: Path) -> Iterator[None]:
    """A copy under the name that Django gives its own; gone when it is let go."""
    with (
        closing(sqlite3.connect(sqlite_file(folder))) as made,
        closing(sqlite3.connect(IN_MEMORY, uri=True)) as copy,
    ):
        made.backup(copy)
        yield


@contextmanager
def in_a_file(folder: Path) -> Iterator[str]:
    """The name of a copy in a file, for servers that ask several things at once."""
    with tempfile.TemporaryDirectory(dir=MEMORY_OR_DISK) as name:
        yield str(shutil.copy(sqlite_file(folder), Path(name, "copy.sqlite3")))


def put_in(data: Path, folder: Path) -> Path:
    """A copy where a shop with that data folder looks for its database."""
    data.mkdir(mode=0o700, parents=True, exist_ok=True)
    copy = Path(shutil.copy(sqlite_file(folder), data / "coldrail.sqlite3"))
    copy.chmod(0o600)
    return copy


def sqlite_file(folder: Path) -> Path:
    file = folder / "made.sqlite3"
    with one_at_a_time(folder):
        if not file.exists():
            unfinished = folder / "unfinished.sqlite3"
            unfinished.unlink(missing_ok=True)
            migrate(f"sqlite:///{unfinished}")
            unfinished.replace(file)
    return file


@contextmanager
def on_postgres(folder: Path, url: str, name: str) -> Iterator[None]:
    """A copy of that name on the server, gone at the end."""
    template(folder, url)
    with psycopg.connect(url, autocommit=True) as server:
        copied = sql.SQL("CREATE DATABASE {} TEMPLATE {}")
        drop(server, name)
        server.execute(copied.format(sql.Identifier(name), sql.Identifier(MADE)))
    yield
    with psycopg.connect(url, autocommit=True) as server:
        drop(server, name)


def template(folder: Path, url: str) -> str:
    """The name of the database on the server that is there to be copied."""
    with one_at_a_time(folder), psycopg.connect(url, autocommit=True) as server:
        make_on_postgres(server, url)
    return MADE


def make_on_postgres(server: psycopg.Connection, url: str) -> None:
    known = server.execute("SELECT 1 FROM pg_database WHERE datname = %s", [MADE])
    if known.fetchone():
        return
    unfinished, made = sql.Identifier(f"{MADE}_unfinished"), sql.Identifier(MADE)
    drop(server, f"{MADE}_unfinished")
    server.execute(sql.SQL("CREATE DATABASE {}").format(unfinished))
    migrate(urlsplit(url)._replace(path=f"/{MADE}_unfinished").geturl())
    server.execute(sql.SQL("ALTER DATABASE {} RENAME TO {}").format(unfinished, made))


@contextmanager
def only_for(url: str) -> Iterator[None]:
    """A run neither meets the template of an earlier one nor leaves its own."""
    forget(url)
    try:
        yield
    finally:
        forget(url)


def forget(url: str) -> None:
    with psycopg.connect(url, autocommit=True) as server:
        drop(server, MADE)


def drop(server: psycopg.Connection, name: str) -> None:
    words = sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)")
    server.execute(words.format(sql.Identifier(name)))


def migrate(url: str) -> None:
    """By the command a shop has, in a process of its own."""
    command = ("manage.py", "migrate", "--run-syncdb", "--without-backup", "-v", "0")
    surroundings = os.environ | {"DATABASE_URL": url, "COLDRAIL_PROFILE": "test"}
    subprocess.run([sys.executable, *command], cwd=ROOT, env=surroundings, check=True)


@contextmanager
def one_at_a_time(folder: Path, what: str = "made") -> Iterator[None]:
    """The first worker makes it; the others wait."""
    with (folder / f"{what}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
