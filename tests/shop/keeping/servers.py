"""A PostgreSQL with our tables in it, of which each test gets a copy."""

import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit
from uuid import uuid4

from django.core.management import call_command
from django.db import connections

from shop.keeping import postgres
from tests import elsewhere


@dataclass(frozen=True)
class Postgres:
    """A server, and the name of the database on it that has our empty tables."""

    server: str
    tables: str

    @contextmanager
    def copy(self) -> Iterator[str]:
        """The URL of an empty, migrated database, dropped at the end."""
        name = f"coldrail_{uuid4().hex}"
        elsewhere.tell(
            self.server, f"CREATE DATABASE {{}} TEMPLATE {self.tables}", name
        )
        try:
            yield urlsplit(self.server)._replace(path=f"/{name}").geturl()
        finally:
            elsewhere.tell(self.server, "DROP DATABASE {} WITH (FORCE)", name)

    def dump(self, file: Path) -> Path:
        """The tables in a file; the one that is copied stays alone meanwhile."""
        with self.copy() as url:
            where = (f"--file={file}", f"--dbname={url}")
            command = (postgres.program("pg_dump"), "--format=custom", *where)
            subprocess.run(command, check=True)
        return file


def filling(dump: Path) -> Callable[..., None]:
    """``call_command("migrate")``, but an empty PostgreSQL has our tables before.

    That migrating makes them is proved by whoever made what was dumped.
    """

    def act(name: str, *, database: str = "default", **how: object) -> None:
        line = connections[database]
        postgres.run(postgres.program("pg_restore"), line, [str(dump)])
        call_command(name, database=database, **how)

    return act
