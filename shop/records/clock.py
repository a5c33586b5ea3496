"""The clocks that several processes can agree by."""

import time
from datetime import UTC, datetime

from django.db import connection

SQLITE = "SELECT strftime('%Y-%m-%d %H:%M:%f', 'now')"
POSTGRESQL = "SELECT clock_timestamp()"


def database_now() -> datetime:
    """The database's own time: one clock for all machines that share it.

    It runs on inside a transaction, unlike ``now()``.
    """
    is_sqlite = connection.vendor == "sqlite"
    with connection.cursor() as cursor:
        cursor.execute(SQLITE if is_sqlite else POSTGRESQL)
        told = cursor.fetchone()[0]
    if is_sqlite:
        return datetime.fromisoformat(told).replace(tzinfo=UTC)
    assert isinstance(told, datetime)
    return told


def steady() -> float:
    """Seconds that only ever grow, those of a sleeping machine too where it can."""
    boot_time = getattr(time, "CLOCK_BOOTTIME", None)
    return time.monotonic() if boot_time is None else time.clock_gettime(boot_time)
