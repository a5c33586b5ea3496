"""The WSGI entry point."""

import logging
import os
import sqlite3

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
application = get_wsgi_application()


def advise_on_sqlite() -> None:
    """Say at the start of a shop's server what its SQLite is not fit for."""
    from django.conf import settings  # noqa: PLC0415  settings stand now

    from shop.records import sqlite_advice  # noqa: PLC0415

    is_sqlite = settings.DATABASES["default"]["ENGINE"].endswith("sqlite3")
    has_fault = sqlite_advice.has_wal_reset_fault(sqlite3.sqlite_version_info)
    if settings.IS_PRODUCTION and is_sqlite and has_fault:
        log = logging.getLogger("shop")
        log.warning(sqlite_advice.ADVICE, sqlite3.sqlite_version)


advise_on_sqlite()
