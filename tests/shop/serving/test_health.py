"""Alive and ready, for whoever watches; log lines that name nobody."""

import json
import logging
from pathlib import Path
from typing import Any

import pytest
from django.db import DatabaseError, connection
from django.http import HttpRequest
from django.test import Client
from django.urls import resolve

from shop.keeping import placing, upgrading
from shop.records.said_plainly import Json, Line
from shop.serving import health

CANARY = "Ada Pell"


@pytest.fixture(autouse=True)
def asked_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(health, "_up_to_date", [])


def test_alive_asks_no_database(client: Client) -> None:
    answer = client.get("/healthz")
    assert (answer.status_code, answer.content) == (200, b"ok\n")


@pytest.mark.django_db
def test_ready_says_which_of_three_is_not_well(
    client: Client, monkeypatch: pytest.MonkeyPatch, settings: Any, tmp_path: Path
) -> None:
    settings.DATA_DIR = tmp_path
    well = {"ready": True, "database": "ok", "tables": "ok", "places": "ok"}
    assert client.get("/readyz").json() == well
    monkeypatch.setattr(health, "_up_to_date", [])
    monkeypatch.setattr(upgrading, "changes", lambda: 1)
    (tmp_path / placing.BEGUN).touch()
    answer = client.get("/readyz")
    assert answer.status_code == 503
    assert answer.json() == well | {"ready": False, "tables": "not", "places": "not"}


def test_no_connection_is_not_ready(monkeypatch: pytest.MonkeyPatch) -> None:
    """pytest-django holds the database back here, as a dead one would."""
    monkeypatch.setattr(connection, "cursor", broken)
    assert health._database() is False


def broken() -> None:
    raise DatabaseError(CANARY)


# --- logs ---------------------------------------------------------------------------


def record_of(name: str, message: str, *args: object, **more: Any) -> logging.LogRecord:
    record = logging.LogRecord(
        name, logging.ERROR, __file__, 1, message, args, more.pop("exc_info", None)
    )
    for key, value in more.items():
        setattr(record, key, value)
    return record


def raised() -> Any:
    import sys

    try:
        try:
            int(CANARY)
        except ValueError as error:
            raise KeyError(CANARY) from error
    except KeyError:
        return sys.exc_info()


@pytest.mark.parametrize("form", [Line(), Json()])
def test_no_line_holds_what_anybody_wrote(form: logging.Formatter) -> None:
    request = HttpRequest()
    request.path = f"/slip/{CANARY}/"
    unknown = record_of(
        "django.request",
        "Not Found: %s",
        request.path,
        request=request,
        status_code=404,
    )
    request_known = HttpRequest()
    request_known.resolver_match = resolve("/tickets/17/")
    known = record_of(
        "django.request",
        "Internal Server Error: %s",
        f"/tickets/{CANARY}/",
        request=request_known,
        exc_info=raised(),
        status_code=500,
    )
    told = [form.format(unknown), form.format(known)]
    assert CANARY not in "".join(told)
    assert "/tickets/<str:number>/ 500" in told[1]
    assert "KeyError" in told[1]
    assert "ValueError" in told[1]
    assert "test_health.py" in told[1]


def test_json_is_one_object_a_line() -> None:
    line = Json().format(record_of("shop.serving", "%s has\nended", "front"))
    assert "\n" not in line
    told = json.loads(line)
    assert told["said"] == "front has\nended"
    assert told["of"] == "shop.serving"
    assert told["at"].endswith("Z")


@pytest.mark.django_db
def test_a_fault_in_a_page_logs_no_name(
    client: Client, monkeypatch: pytest.MonkeyPatch, caplog: Any
) -> None:
    """The whole way of a request: search words, an address, an exception's message."""
    monkeypatch.setitem(health.LOOKS, "database", broken_look)
    client.raise_request_exception = False
    caplog.set_level(logging.INFO, "django.request")
    caplog.handler.setFormatter(Json())
    client.get(f"/readyz?q={CANARY}")
    client.get(f"/nothing/{CANARY}/")
    assert CANARY not in caplog.text
    assert "Internal Server Error" in caplog.text
    assert "RuntimeError" in caplog.text


def broken_look() -> bool:
    raise RuntimeError(CANARY)
