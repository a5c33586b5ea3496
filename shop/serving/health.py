"""For whoever watches the server from outside: alive, and ready. No private facts."""

import os
from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from django.core.files.storage import default_storage
from django.db import DatabaseError, connection
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.http.response import HttpResponseBase
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shop.keeping import placing, upgrading
from shop.people.access import before_the_shop, public

GetResponse = Callable[[HttpRequest], HttpResponseBase]
_up_to_date: list[bool] = []


@before_the_shop
@public
@require_safe
@never_cache
def alive(_request: HttpRequest) -> HttpResponse:
    """The process answers; it asks nobody else."""
    return HttpResponse("ok\n", content_type="text/plain")


@before_the_shop
@public
@require_safe
@never_cache
def ready(_request: HttpRequest) -> JsonResponse:
    """200 when work can be done here, else 503 and which of three is not well."""
    found = {name: look() for name, look in LOOKS.items()}
    is_ready = all(found.values())
    told = {name: "ok" if is_well else "not" for name, is_well in found.items()}
    return JsonResponse({"ready": is_ready, **told}, status=200 if is_ready else 503)


def _database() -> bool:
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return False
    return True


def _tables() -> bool:
    """Once found up to date they stay so: this process's code does not change."""
    if _up_to_date:
        return True
    try:
        if upgrading.changes():
            return False
    except DatabaseError:
        return False
    _up_to_date.append(True)
    return True


def _places() -> bool:
    """Where data and files are written; not while a restore moves them."""
    folders = [Path(settings.DATA_DIR)]
    files = Path(getattr(default_storage, "location", settings.DATA_DIR))
    folders += [files] if files.is_dir() else []
    can_write = all(os.access(folder, os.W_OK | os.X_OK) for folder in folders)
    return can_write and not placing.is_half_done()


def health_first(get_response: GetResponse) -> GetResponse:
    """Answered before anything asks the database, which may be what is not well."""
    doors = {"/healthz": alive, "/readyz": ready}

    def middleware(request: HttpRequest) -> HttpResponseBase:
        return doors.get(request.path_info, get_response)(request)

    return middleware


LOOKS: dict[str, Callable[[], bool]] = {
    "database": _database,
    "tables": _tables,
    "places": _places,
}
