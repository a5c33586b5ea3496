"""The owner's words for messages: previewed, checked for fields, read before use."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from shop.people.message_texts import ours
from shop.people.models import Person, Shop
from shop.people.text_fields import MESSAGES, fill, unknown
from shop.people.texts import in_force, texts_are_read

pytestmark = pytest.mark.django_db
ClientOf = Callable[[str], Client]
PAGE = "/opening/settings/texts/"
EVIL = ("{{settings.SECRET_KEY}}", "{0.__class__}", "{customer.email}", "{owing!r}")


def post(client: Client, key: str, **texts: str) -> Any:
    return client.post(PAGE, {"idempotency_key": f"texts-{key:->20}", **texts})


@pytest.mark.parametrize("evil", EVIL)
def test_what_is_no_field_is_refused_beside_it(
    client_of: ClientOf, hollin_lane: Shop, evil: str
) -> None:
    """As trust.md 1.3.7 asks; nothing is kept, what was typed stays."""
    page = post(client_of("marit"), "1", ready_en=f"Ready\n{evil}")
    assert page.status_code == 422
    papers, written = page.context["groups"][0]
    [error] = written.errors["ready_en"]
    assert "is no field here. There are {customer}, {shop}" in error
    assert evil in written["ready_en"].value()
    assert not papers.errors
    assert not hollin_lane.texts.exists()


@pytest.mark.one_database
@pytest.mark.parametrize("evil", EVIL)
def test_what_is_no_field_stays_as_it_is_where_it_stands(evil: str) -> None:
    values = {"customer": "Ada", "owing": "5"}
    assert fill("ready", f"{{customer}} {evil}", values) == f"Ada {evil}"


@pytest.mark.one_database
def test_our_own_texts_have_only_fields_that_there_are() -> None:
    assert set(ours("en")) == MESSAGES
    assert not [k for k, text in ours("en").items() if unknown(k, text)]
    assert all(len(text.partition("\n")[0]) < 120 for text in ours("en").values())


def test_a_preview_shows_it_as_a_customer_reads_it_and_keeps_nothing(
    client_of: ClientOf, hollin_lane: Shop
) -> None:
    owner = client_of("marit")
    typed = {"ready_en": "Hooray, {customer}\n\nTo pay: {owing}", "then": "preview"}
    page = post(owner, "1", **typed)
    assert page.status_code == 200
    assert "Hooray, Ada Pell" in page.content.decode()
    assert "To pay: 149.00 EUR" in page.content.decode()
    assert not hollin_lane.texts.exists()


def test_ours_are_offered_kept_and_in_force_once_read(
    client_of: ClientOf, hollin_lane: Shop, marit: Person
) -> None:
    """Also in a shop that read its texts before there were messages."""
    owner = client_of("marit")
    page = owner.get(PAGE)
    assert "offered and not kept yet" in page.content.decode()
    _papers, written = page.context["groups"][0]
    offered = {field.name: str(field.value()) for field in written}
    assert offered["ready_en"] == ours("en")["ready"]
    assert post(owner, "1", **offered).status_code == 302
    assert all(row.is_ours for row in hollin_lane.texts.all())
    assert not texts_are_read(hollin_lane)
    last = hollin_lane.texts.latest("id")
    assert in_force(hollin_lane, last.made_at, "en") == {}
    read = {"last": last.pk, "idempotency_key": "texts-read-----------"}
    owner.post(f"{PAGE}read/", read)
    texts = in_force(hollin_lane, hollin_lane.texts_read.get().at, "de")
    assert texts["ready"] == ours("en")["ready"]
