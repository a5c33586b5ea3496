"""Canary passcodes, planted and then looked for wherever anything is kept.

Every table by its own name (not by our models), the queues and sessions among them,
the files that were written, the log, the papers' text.
"""

import logging
import uuid
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from shop.intake.models import Ticket
from shop.records.models import KeptAnswer

ClientOf = Callable[[str], Client]
CANARIES = {
    "password": 'Canary Qz7 "verdant"',
    "pin": "840275319046",
    "pattern": "147852369",
}


def every_cell() -> str:
    """The whole database as one text."""
    with connection.cursor() as cursor:
        tables = connection.introspection.table_names(cursor)
        assert len(tables) > 40
        cells = []
        for table in tables:
            quoted = connection.ops.quote_name(table)
            cursor.execute(f"SELECT * FROM {quoted}")  # noqa: S608  our own tables
            cells += [repr(row) for row in cursor.fetchall()]
    return "\n".join(cells)


def written(folder: Path) -> str:
    files = [path for path in folder.rglob("*") if path.is_file()]
    return "\n".join(path.read_bytes().decode("latin-1") for path in files)


@pytest.fixture(params=sorted(CANARIES))
def canary(request: pytest.FixtureRequest) -> tuple[str, str]:
    return request.param, CANARIES[request.param]


def test_a_passcode_is_nowhere_while_open_and_after_closing(
    canary: tuple[str, str],
    client_of: ClientOf,
    caplog: pytest.LogCaptureFixture,
    settings: Any,
    tmp_path: Path,
) -> None:
    kind, word = canary
    caplog.set_level(logging.DEBUG)
    settings.MEDIA_ROOT = settings.PAPERS_DIR = tmp_path
    desk, bench = client_of("tomas"), client_of("ines")
    ticket = take_in(desk)
    at = f"/tickets/{ticket.number}/passcode/"
    wrong = {"kind": "pattern", "passcode": f"{word}!", "seen": "0"}
    assert desk.post(at, wrong).status_code == 422
    kept = {"kind": kind, "passcode": word, "seen": "0"}
    assert desk.post(at, kept).status_code == 302
    shown = bench.post(f"{at}show/", {"reason": "proof"})
    assert shown.context["text"] == word
    nowhere(word, caplog, tmp_path, kept=1)
    pages_without(word, ticket, desk, bench)
    close(client_of("marit"), ticket)
    nowhere(word, caplog, tmp_path, kept=3)
    pages_without(word, ticket, desk, bench)
    with connection.cursor() as cursor:
        cursor.execute("SELECT sealed FROM intake_passcode")
        assert cursor.fetchall() == [("",)]


def take_in(desk: Client) -> Ticket:
    form = {
        "name": "Ada Pell",
        "model": "Orrin 14",
        "told": "Dead.",
        "without_passcode": "no",
        "idempotency_key": str(uuid.uuid4()),
    }
    assert desk.post(reverse("intake:ticket_new"), form).status_code == 302
    return Ticket.objects.get()


def close(owner: Client, ticket: Ticket) -> None:
    """Declined and handed over: no repair, no bill, and still erased."""
    counted = {f"thing-{one.tag}": "on" for one in ticket.things.all()}
    for act, form in (
        ("outcome", {"kind": "declined"}),
        ("handover", {"given_to": "Ada Pell", "owing_reason": "Declined."} | counted),
    ):
        key = {"idempotency_key": str(uuid.uuid4())}
        answer = owner.post(f"/tickets/{ticket.number}/{act}/", form | key)
        assert answer.status_code == 302, answer.content.decode()
    assert Ticket.objects.filter(handover__isnull=False).exists()


def nowhere(
    word: str, caplog: pytest.LogCaptureFixture, folder: Path, *, kept: int
) -> None:
    for spelled in {word, repr(word)[1:-1], word.replace('"', '\\"')}:
        assert spelled not in every_cell()
        assert spelled not in written(folder)
        assert spelled not in caplog.text
    # Nor as a hash that a short one could be guessed from: its pages keep no answer.
    assert KeptAnswer.objects.count() == kept


def pages_without(word: str, ticket: Ticket, *clients: Client) -> None:
    slip = clients[0].get(f"/tickets/{ticket.number}/job-slip.pdf")
    text = "".join(p.extract_text() for p in PdfReader(BytesIO(slip.content)).pages)
    assert ticket.number in text
    assert word not in text
    for client in clients:
        for page in (f"/tickets/{ticket.number}/", "/counter/", "/find/?q=a"):
            assert word not in client.get(page, follow=True).content.decode()
