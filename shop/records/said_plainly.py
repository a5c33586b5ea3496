"""Log lines without what anybody wrote: as text, or one JSON object a line.

An exception's message may hold a name, a typed value, a row; a path may hold a slip
link or what was searched for. So of an exception its kind and places are told, and of
a request the pattern of its address.
"""

import json
import logging
import traceback
from datetime import UTC, datetime
from http import HTTPStatus
from typing import Any

OF_REQUESTS = ("django.request", "django.security", "django.server")
NO_ADDRESS = "(no page of ours)"


def said(record: logging.LogRecord) -> str:
    """The message; of a request, its status and the pattern of its address."""
    if not record.name.startswith(OF_REQUESTS):
        return record.getMessage()
    status = getattr(record, "status_code", 0)
    known = status in HTTPStatus._value2member_map_
    kind = HTTPStatus(status).phrase if known else "Refused"
    return f"{kind}: {pattern_of(getattr(record, 'request', None))} {status or ''}"


def pattern_of(request: Any) -> str:
    match = getattr(request, "resolver_match", None)
    return f"/{match.route}" if match else NO_ADDRESS


def places_of(record: logging.LogRecord) -> list[str]:
    """Each exception of the chain with the places it came through, without messages."""
    error = record.exc_info[1] if record.exc_info else None
    told = []
    while error is not None:
        frames = traceback.extract_tb(error.__traceback__)
        places = [f"{f.filename}:{f.lineno} {f.name}" for f in frames]
        told.append(" < ".join([type(error).__name__, *reversed(places)]))
        error = error.__cause__ or error.__context__
    return told


class Line(logging.Formatter):
    """For people."""

    def format(self, record: logging.LogRecord) -> str:
        line = f"{when(record)} {record.levelname} {record.name}: {said(record)}"
        return "\n  ".join([line, *places_of(record)])


class Json(logging.Formatter):
    """For programs: one object a line."""

    def format(self, record: logging.LogRecord) -> str:
        told: dict[str, object] = {
            "at": when(record),
            "level": record.levelname,
            "of": record.name,
            "said": said(record),
            "process": record.process,
        }
        if places := places_of(record):
            told["raised"] = places
        return json.dumps(told, ensure_ascii=False)


def when(record: logging.LogRecord) -> str:
    moment = datetime.fromtimestamp(record.created, UTC)
    return moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")
