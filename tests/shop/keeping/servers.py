"""A PostgreSQL with our tables in it, of which each test gets a copy."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from urllib.parse import urlsplit
from uuid import uuid4

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
