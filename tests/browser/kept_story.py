"""The demo shop, told once a process and put back for each further test.

Telling it takes some three seconds; SQLite copies a database in a few milliseconds
(its online backup). On PostgreSQL, where few browser tests run, it is told anew.
"""

import sqlite3

from django.db import connection
from django.utils import timezone

from shop.desk.management.commands.demo import SCENARIO
from shop.desk.scenario import tell
from shop.people.models import Shop

_kept: list[sqlite3.Connection] = []


def told_shop() -> Shop:
    if connection.vendor != "sqlite":
        return tell(SCENARIO, now=timezone.now())
    connection.ensure_connection()
    if _kept:
        _kept[0].backup(connection.connection)
        return Shop.objects.get()
    shop = tell(SCENARIO, now=timezone.now())
    copy = sqlite3.connect(":memory:", check_same_thread=False)
    connection.connection.backup(copy)
    _kept.append(copy)
    return shop
