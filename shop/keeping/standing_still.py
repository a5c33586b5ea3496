"""Whether anybody still works with a SQLite database, and another connection."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import dj_database_url
from django.db import connections
from django.db.utils import load_backend

PROCESSES = Path("/proc")


def working_with(database: Path) -> list[int]:
    """Other processes that have the file open, as far as this one may see."""
    real = str(database.resolve())
    return sorted(pid for pid in processes() if has_open(pid, real))


def processes() -> Iterator[int]:
    for entry in PROCESSES.glob("[0-9]*"):
        if int(entry.name) != os.getpid():
            yield int(entry.name)


def has_open(pid: int, file: str) -> bool:
    try:
        handles = list((PROCESSES / str(pid) / "fd").iterdir())
        return any(str(handle.readlink()).startswith(file) for handle in handles)
    except OSError:
        return False  # gone, or somebody else's


@contextmanager
def connected(url: str, alias: str) -> Iterator[str]:
    """Another database under an alias of its own."""
    told = connections.configure_settings({"default": dict(dj_database_url.parse(url))})
    backend = load_backend(told["default"]["ENGINE"])
    connections[alias] = backend.DatabaseWrapper(told["default"], alias)
    try:
        yield alias
    finally:
        connections[alias].close()
        del connections[alias]
