"""The demo's year, told once a run and kept in a file beside the migrated database.

Telling it takes over a minute of a processor. Only on SQLite: what is asked of it
does not depend on the database.
"""

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from pathlib import Path

import time_machine
from django.db import connection, transaction
from django.utils import timezone

from shop.desk.management.commands.demo import SCENARIO, YEAR
from shop.desk.scenario import tell
from tests import made_database

SINCE_THEN = timedelta(minutes=1)


@contextmanager
def at_a_copy(folder: Path) -> Iterator[None]:
    """The connection leads to a copy of it, a minute after it was told."""
    file, moment = told(folder)
    with (
        tempfile.TemporaryDirectory(dir=made_database.MEMORY_OR_DISK) as place,
        instead(Path(shutil.copy(file, place))),
        time_machine.travel(moment + SINCE_THEN),
    ):
        yield


def told(folder: Path) -> tuple[Path, datetime]:
    file, moment = folder / "year.sqlite3", folder / "year.told"
    with made_database.one_at_a_time(folder, "year"):
        if not file.exists():
            empty = made_database.sqlite_file(folder)
            unfinished = Path(shutil.copy(empty, folder / "untold.sqlite3"))
            now = timezone.now()
            with instead(unfinished), transaction.atomic():
                tell(SCENARIO, *YEAR, now=now)
            moment.write_text(now.isoformat())
            unfinished.replace(file)
    return file, datetime.fromisoformat(moment.read_text())


@contextmanager
def instead(file: Path) -> Iterator[None]:
    """The connection leads there; Django never closes one to a database in memory."""
    kept, name = connection.connection, connection.settings_dict["NAME"]
    connection.connection, connection.settings_dict["NAME"] = None, str(file)
    try:
        yield
    finally:
        connection.close()
        connection.connection, connection.settings_dict["NAME"] = kept, name
