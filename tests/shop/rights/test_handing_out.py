"""What a customer is handed: all of theirs, nothing of anybody else's."""

import json
import uuid
import zipfile
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.utils import timezone
from PIL import Image
from pypdf import PdfReader

from shop.intake.models import Ticket
from shop.intake.passcodes import passcode_keep
from shop.people.models import Person
from shop.records.holding import Holds
from shop.records.kinds import Kind
from shop.records.models import Event, KeptAnswer
from shop.rights.tables import of_customers
from tests.factories import CustomerFactory, TicketFactory
from tests.shop.rights.conftest import DRAWN, Words

ClientOf = Callable[[str], Client]
pytestmark = pytest.mark.one_database


def package(owner: Client, ticket: Ticket) -> zipfile.ZipFile:
    url = f"/rights/customers/{ticket.customer_id}/data.zip"
    answer = owner.post(url, {"sure": "yes"})
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/zip")
    assert answer["Cache-Control"] == "no-store"
    body = b"".join(answer.streaming_content)  # type: ignore[attr-defined]
    archive = zipfile.ZipFile(BytesIO(body))
    assert archive.testzip() is None
    return archive


def test_all_of_theirs_is_in_it(
    told: Ticket, words: Words, client_of: ClientOf
) -> None:
    archive = package(client_of("marit"), told)
    data = archive.read("data.json").decode()
    page = archive.read("index.html").decode()
    # Why they were parted from another speaks of the other too; the passcode is gone.
    expected = {name: w for name, w in words.items() if name not in LEFT_OUT}
    assert not [name for name, word in expected.items() if word not in data]
    shown = {name: w for name, w in expected.items() if name != "ink"}
    assert not [name for name, word in shown.items() if word not in page]
    assert not [name for name in LEFT_OUT if words[name] in data + page]
    names = set(archive.namelist())
    assert set(json.loads(data)["files"]) == names - {"data.json", "index.html"}
    for name in names - {"data.json", "index.html"}:
        assert f'href="{name}"' in page
    check_files(archive, words)


LEFT_OUT = ("parted", "passcode")


def check_files(archive: zipfile.ZipFile, words: Words) -> None:
    """Each kind of file opens as what it is."""
    kinds: dict[str, int] = {}
    for name in archive.namelist():
        body = archive.read(name)
        kinds[name.rpartition(".")[2]] = kinds.get(name.rpartition(".")[2], 0) + 1
        if name.endswith(".jpg"):
            Image.open(BytesIO(body)).verify()
        elif name.endswith(".pdf"):
            text = "".join(p.extract_text() for p in PdfReader(BytesIO(body)).pages)
            assert words["name"] in text
        elif name.endswith(".svg"):
            drawn = ElementTree.fromstring(body)  # noqa: S314  our own
            assert drawn[0].attrib["d"] == DRAWN
    assert kinds == {"json": 1, "html": 1, "jpg": 2, "pdf": 2, "svg": 2}


def test_nothing_of_another_customer_or_of_the_staff(
    told: Ticket, words: Words, client_of: ClientOf, tomas: Person
) -> None:
    other = CustomerFactory.create(shop=told.shop, name="Wenna Strangeways")
    TicketFactory.create(by=tomas, customer=other, told="Her own fault")
    archive = package(client_of("marit"), told)
    both = archive.read("data.json").decode() + archive.read("index.html").decode()
    for word in ("Wenna", "Her own fault", "Iris Vane", "Tomas", "Marit", "Ines"):
        assert word not in both, word
    staff = {name for _m, t in of_customers() for name in t.named(Holds.STAFF)}
    keys = {name for _m, t in of_customers() for name in t.named(Holds.KEYS)}
    rows = [row for rows in json.loads(archive.read("data.json"))["tables"].values()
            for row in rows]  # fmt: skip
    assert rows
    assert not {name for row in rows for name in row} & (staff | keys)


def test_it_is_told_and_a_passcode_in_it_was_seen(
    ticket: Ticket, tomas: Person, client_of: ClientOf
) -> None:
    passcode_keep(ticket=ticket, by=tomas, kind="pin", text="840275")
    archive = package(client_of("marit"), ticket)
    assert "840275" in archive.read("data.json").decode()
    given, shown = (
        Event.objects.get(kind=kind)
        for kind in (Kind.CUSTOMER_DATA_GIVEN, Kind.PASSCODE_SHOWN)
    )
    assert given.ids == {"customer": ticket.customer_id}
    assert shown.codes == {"reason": "customer_there"}
    assert not KeptAnswer.objects.exclude(body="").exists()


def test_the_owner_alone_and_a_moment_after_a_sign_in(
    ticket: Ticket, client_of: ClientOf
) -> None:
    url = f"/rights/customers/{ticket.customer_id}/data.zip"
    assert client_of("tomas").post(url, {"sure": "yes"}).status_code == 403
    owner = client_of("marit")
    assert owner.post(url).status_code == 422
    session = owner.session
    session["signed_in_at"] = timezone.now().timestamp() - 3600
    session.save()
    assert "/sign-in/again/" in owner.post(url, {"sure": "yes"})["Location"]
    erase = f"/rights/customers/{ticket.customer_id}/erase/"
    form = {"has_read": "on", "idempotency_key": str(uuid.uuid4())}
    assert "/sign-in/again/" in owner.post(erase, form)["Location"]


def test_in_the_customers_language_and_hostile_words_are_words(
    ticket: Ticket, client_of: ClientOf, tomas: Person
) -> None:
    customer = CustomerFactory.create(
        shop=ticket.shop, name='<script>alert("x")</script>', address="=1+1"
    )
    other = TicketFactory.create(by=tomas, customer=customer)
    page = package(client_of("marit"), other).read("index.html").decode()
    assert "<script" not in page
    assert "&lt;script&gt;" in page


def test_by_command(ticket: Ticket, tmp_path: Path, capsys: Any) -> None:
    file = tmp_path / "ada.zip"
    call_command("customer_data", ticket.number, str(file))
    assert file.stat().st_mode & 0o777 == 0o600
    with zipfile.ZipFile(file) as archive:
        assert "Ada Pell" in archive.read("index.html").decode()
    with pytest.raises(CommandError, match="there already"):
        call_command("customer_data", ticket.number, str(file))
    with pytest.raises(CommandError, match="No ticket"):
        call_command("customer_data", "1", str(tmp_path / "b.zip"))
