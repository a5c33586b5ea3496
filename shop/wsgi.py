"""The WSGI entry point."""

import logging
import os
import sqlite3
from collections.abc import Iterable
from typing import Any

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
application = get_wsgi_application()
Wsgi = Any  # an application, or what it is called with: PEP 3333 has no types


def over_tls(inner: Wsgi) -> Wsgi:
    """Behind our own front every request came over TLS: said by us, by no header."""

    def outer(environ: dict[str, Any], start_response: Wsgi) -> Iterable[bytes]:
        answer: Iterable[bytes] = inner(
            environ | {"wsgi.url_scheme": "https"}, start_response
        )
        return answer

    return outer


if os.environ.get("COLDRAIL_SERVED") == "lan":
    application = over_tls(application)


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
