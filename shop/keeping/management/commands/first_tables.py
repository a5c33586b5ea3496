"""Write down what all migrations make of an empty database (for developers)."""

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

from shop.keeping import first_tables

MIGRATE = ("manage.py", "migrate", "--one-by-one", "--without-backup", "-v", "0")
ALIAS = "first_tables"


class Command(BaseCommand):
    help = f"Write {first_tables.FILE.name} anew, after migrations were added."

    def handle(self, *args: Any, **options: Any) -> None:
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder, "empty.sqlite3")
            migrate_one_by_one(file)
            with opened(file) as line:
                told = first_tables.told_by(line)
        first_tables.FILE.write_text(told, encoding="utf-8")
        self.stdout.write(f"Written: {first_tables.FILE}")


def migrate_one_by_one(file: Path) -> None:
    """Make a database the long way, by a process of its own."""
    surroundings = os.environ | {"DATABASE_URL": f"sqlite:///{file}"}
    subprocess.run(  # noqa: S603  our own command
        [sys.executable, *MIGRATE],
        cwd=settings.BASE_DIR,
        env=surroundings | {"COLDRAIL_PROFILE": "test"},
        check=True,
    )


@contextmanager
def opened(file: Path) -> Iterator[BaseDatabaseWrapper]:
    """A line to a database beside the shop's."""
    connections.databases[ALIAS] = connections.databases["default"] | {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": str(file),
        "OPTIONS": settings.SQLITE_OPTIONS,
    }
    try:
        yield connections[ALIAS]
    finally:
        connections[ALIAS].close()
        del connections[ALIAS], connections.databases[ALIAS]
