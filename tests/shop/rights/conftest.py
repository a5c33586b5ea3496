"""A customer told through the pages, every free text of whom is a word of its own."""

import json
import uuid
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from diagnostics import services as bench
from shop.billing import queries as money
from shop.billing import services as billing
from shop.intake import joining
from shop.intake.models import Customer, Ticket
from shop.opening.imports.bringing import import_upload
from shop.opening.imports.checking import check_some
from shop.people import house_services, message_texts
from shop.people.models import Person, Shop
from shop.records import messages
from tests.factories import CustomerFactory
from tests.samples import line, photo_of
from tests.shop.photos.conftest import picture

ClientOf = Callable[[str], Client]
PHONE, E164 = "+44 20 7946 0771", "+442079460771"
INK = [[113, 57, 371, 129]]
DRAWN = "M113 57L371 129"


class Words(dict[str, str]):
    """``words("told")``: a text that stands nowhere else, known by its name."""

    def __call__(self, name: str) -> str:
        return self.setdefault(name, f"qanary{name}")


@pytest.fixture(autouse=True)
def own_places(settings: Any, tmp_path: Path, photos_folder: Path) -> Path:
    settings.OUTGOING_DIR = tmp_path / "outgoing"
    settings.BACKUP_DIR = tmp_path / "backups"
    settings.BACKUP_DIR.mkdir()
    settings.PAPERS_DIR = tmp_path / "papers"
    return tmp_path


@pytest.fixture
def words() -> Words:
    return Words(phone=PHONE, e164=E164, ink=DRAWN)


def post(client: Client, url: str, form: dict[str, Any], status: int = 302) -> None:
    answer = client.post(url, {"idempotency_key": str(uuid.uuid4())} | form)
    assert answer.status_code == status, (url, answer.content.decode()[-3000:])


@pytest.fixture
def told(
    hollin_lane: Shop,
    marit: Person,
    tomas: Person,
    ines: Person,
    client_of: ClientOf,
    words: Words,
) -> Ticket:
    """Taken in, measured, quoted, written to, billed, paid and handed over."""
    texts_read(hollin_lane, marit)
    desk, at_bench = client_of("tomas"), client_of("ines")
    page = intake_page(words)
    post(desk, "/counter/new/", page | {"model": ""}, 422)
    draft = {"draft": str(uuid.uuid4()), "intake": "counter"}
    post(desk, "/counter/new/draft/", page | draft, 204)
    post(desk, "/counter/new/", page | {"then": "keep"})
    ticket = Ticket.objects.get()
    at_the_counter(desk, ticket, words)
    at_the_bench(at_bench, ticket, ines, words)
    of_money(desk, ticket, tomas, words)
    kept_twice(ticket.customer, marit, words)
    old_data(hollin_lane, tomas, words)
    messages.send_due()
    handed_over(desk, ticket, words)
    return ticket


def texts_read(shop: Shop, by: Person) -> None:
    texts = {(kind, "en"): text for kind, text in message_texts.ours("en").items()}
    house_services.texts_keep(shop=shop, by=by, texts=texts, seen={})
    last = shop.texts.latest("id").pk
    house_services.texts_confirm(shop=shop, by=by, last_seen=last)


def intake_page(words: Words) -> dict[str, Any]:
    free = ("name", "address", "model", "serial", "told", "condition", "other_thing")
    return {name: words(name) for name in (*free, "their_reference")} | {
        "phone": PHONE,
        "email": f"{words('email')}@pell.example",
        "channel": "text",
        "kind": "laptop",
        "things": ["adapter"],
        "signed": "screen",
        "signature": json.dumps(INK),
    }


def at_the_counter(desk: Client, ticket: Ticket, words: Words) -> None:
    at = f"/tickets/{ticket}"
    code = {"kind": "password", "passcode": words("passcode"), "seen": "0"}
    post(desk, f"{at}/passcode/", code)
    story = {part: words(part) for part in ("found", "done", "proved")}
    post(desk, f"{at}/story/", story | {"told": words("told")})
    file = SimpleUploadedFile("a.jpg", picture())
    post(desk, f"{at}/photos/", {"side": "damage", "photos": [file]})
    photo = ticket.photos.get()
    post(desk, f"/photos/{photo.pk}/", {"side": "damage", "note": words("photo")})
    photo_of(ticket, photo.by)


def at_the_bench(at_bench: Client, ticket: Ticket, ines: Person, words: Words) -> None:
    named = {"number": "HN14-MB", "family": "laptop_barrel"}
    own = {"serial": words("boardserial"), "marking": words("marking")}
    post(at_bench, reverse("diagnostics:board_join", args=[ticket]), named | own)
    board = ticket.ticket_boards.get().board
    bench.reading_take(
        board=board, ticket=ticket, by=ines, point_id="k04/leads", typed="0.2"
    )


def of_money(desk: Client, ticket: Ticket, by: Person, words: Words) -> None:
    billing.quote_send(
        ticket=ticket,
        by=by,
        lines=[line()],
        cause=words("cause"),
        risk=words("risk"),
    )
    billing.quote_draft_keep(
        ticket=ticket, by=by, lines=[line()], cause=words("draftcause")
    )
    answer = {"is_yes": "no", "answered_by": words("answered"), "channel": "phone"}
    url = reverse("billing:quote_answer", args=[ticket, 1])
    post(desk, url, answer | {"decline_reason": "price"})
    post(desk, f"/tickets/{ticket}/outcome/", {"kind": "declined"})
    post(desk, reverse("desk:invoice_issue", args=[ticket]), {})
    due = str(money.balance(ticket).due.amount)
    paid = {"amount": due, "method": "transfer", "reference": words("reference")}
    post(desk, reverse("billing:payment_take", args=[ticket]), paid)


def kept_twice(customer: Customer, by: Person, words: Words) -> None:
    """The same person as a second row, and another who was parted again."""
    shop = customer.shop
    twin = CustomerFactory.create(
        shop=shop, name=words("twin"), address=words("twinaddress"), phone_typed=PHONE
    )
    other = CustomerFactory.create(shop=shop, name="Bo Other", address="", email="")
    for gone in (twin, other):
        customer.refresh_from_db()
        joining.customers_join(
            kept=customer, gone=gone, by=by, versions=(customer.version, 1)
        )
    customer.refresh_from_db()
    joining.customers_part(
        gone=other, by=by, reason=words("parted"), version=customer.version
    )


def old_data(shop: Shop, by: Person, words: Words) -> None:
    """Two files that name them, one of them checked: a twin is found in it."""
    name = words("name")
    for number in range(2):
        run = import_upload(
            shop=shop,
            by=by,
            body=f"name,phone\n{name},{PHONE}\nIris Vane,+00 555 0199\n".encode(),
            digest=f"{number:0>64}",
            what="customers",
            file_name="old.csv",
            encoding="utf-8",
            separator=",",
            rows=2,
            columns={"name": 0, "phone": 1},
        )
    check_some(run)


def handed_over(desk: Client, ticket: Ticket, words: Words) -> None:
    first = ticket.things.earliest("tag")
    form = {
        f"thing-{first.tag}": "on",
        "given_to": words("givento"),
        "missing": words("missing"),
        "signed": "screen",
        "signature": json.dumps(INK),
    }
    post(desk, reverse("desk:handover", args=[ticket]), form)
