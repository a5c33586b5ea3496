"""An intake that was not sent yet: kept, taken over by another kind, and gone again."""

import re
import uuid
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.http import QueryDict
from django.test import Client
from django.utils import timezone

from shop.intake import drafts, papers
from shop.intake.counter_models import IntakeDraft
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from tests.factories import PersonFactory
from tests.shop.intake.conftest import PAGE

Post = Callable[..., Any]
ClientOf = Callable[[str], Client]
KEY = "0f8fad5b-d9cb-469f-a165-70867728950e"
OTHER = "7c9e6679-7425-40de-944b-e07fc1f90ae7"
DRAFT, NEW = "/counter/new/draft/", f"/counter/new/?draft={KEY}"


@pytest.fixture
def desk(client_of: ClientOf) -> Client:
    return client_of("tomas")


def kept(desk: Client, **typed: object) -> int:
    data = PAGE | {"draft": KEY, "intake": "counter"} | typed
    return desk.post(DRAFT, data).status_code


def test_a_closed_tab_loses_nothing(desk: Client) -> None:
    ticked = {"faults": ["no_charge"], "things": ["adapter", "bag"], "liquid": "yes"}
    assert kept(desk, **ticked) == 204
    assert "Begun and not taken in" in desk.get("/counter/new/").content.decode()
    page = desk.get(NEW).content.decode()
    assert 'value="Ada Pell"' in page
    assert "Tea went over it on Friday." in page
    ticked_again = set(re.findall(r'value="(\w+)"[^>]*checked', page))
    assert {"no_charge", "adapter", "bag", "yes"} <= ticked_again
    assert "lead" not in ticked_again


def said_on(html: str) -> str:
    """The words from what was handed over to what was agreed, without the codes."""
    body = html[html.index("<h2>Handed over") : html.rindex("</dl>")]
    body = re.sub(r'<div class="qr">.*?</div>', "", body, flags=re.DOTALL)
    return " ".join(re.sub(r"<[^>]+>", " ", body).split())


@pytest.mark.parametrize(
    "typed",
    [
        {"things": ["adapter", "bag"], "liquid": "yes", "pre_approved": "120.50"},
        {"intake": "quick"},
    ],
)
def test_the_slip_beside_the_form_says_what_the_paper_will_say(
    desk: Client, typed: dict[str, Any]
) -> None:
    page = PAGE | {"draft": KEY, "intake": "counter"} | typed
    wide = {"with-slip": "yes"}
    begun = desk.post(DRAFT, {"draft": KEY, "name": "A<b>"}, headers=wide)
    assert "A&lt;b&gt;" in begun.content.decode()
    live = desk.post(DRAFT, page, headers=wide).content.decode()
    assert not Ticket.objects.exists()
    desk.post("/counter/new/", page | {"idempotency_key": str(uuid.uuid4())})
    assert said_on(live) == said_on(papers.job_slip_html(Ticket.objects.get()))


def test_nothing_typed_keeps_nothing(desk: Client) -> None:
    empty = {"name": "", "phone": "", "model": "", "serial": " ", "told": ""}
    assert kept(desk, **empty) == 204
    assert not IntakeDraft.objects.exists()
    assert desk.post(DRAFT, {"draft": "none"}).status_code == 400


def test_another_kind_takes_over_and_gives_back(desk: Client) -> None:
    """What one kind does not ask is there again when the tab is tapped back."""
    typed = PAGE | {"draft": KEY, "email": "ada@pell.example", "intake": "counter"}
    answer = desk.post(DRAFT, typed | {"intake_to": "parcel"})
    assert answer["Location"] == f"/counter/new/?intake=parcel&draft={KEY}"
    there = desk.get(answer["Location"]).content.decode()
    assert 'value="Orrin 14"' in there
    quick = {"draft": KEY, "name": "Ada Pell", "model": "Orrin 15", "told": "Dead."}
    back = desk.post(DRAFT, quick | {"intake": "quick", "intake_to": "counter"})
    page = desk.get(back["Location"]).content.decode()
    assert 'value="Orrin 15"' in page
    assert 'value="ada@pell.example"' in page


def test_rows_of_several_machines_come_back(desk: Client) -> None:
    rows = {"machine-TOTAL_FORMS": "5", "machine-1-model": "Heron", "name": "Ada"}
    desk.post(DRAFT, rows | {"draft": KEY, "intake": "several"})
    page = desk.get(f"{NEW}&intake=several").content.decode()
    assert 'name="machine-1-model" value="Heron"' in page


def test_taken_in_or_thrown_away_it_is_emptied(
    desk: Client, take_in: Post, send: Post
) -> None:
    """What the page saves a moment too late is no draft of a taken in machine."""
    kept(desk)
    assert take_in(desk, draft=KEY).status_code == 302
    assert Ticket.objects.count() == 1
    kept(desk)
    assert IntakeDraft.objects.get().sealed == ""
    assert "Begun and not taken in" not in desk.get("/counter/new/").content.decode()
    kept(desk, draft=OTHER)
    send(desk, "/counter/new/draft/drop/", key="7", draft=OTHER)
    assert not any(IntakeDraft.objects.values_list("sealed", flat=True))


def test_a_save_that_comes_after_the_first_and_last_post_is_too_late(
    desk: Client, take_in: Post
) -> None:
    take_in(desk, draft=KEY)
    kept(desk)
    assert IntakeDraft.objects.get().sealed == ""


def test_it_is_nobody_elses(
    desk: Client, client_of: ClientOf, client_elsewhere: Client
) -> None:
    kept(desk)
    for other in (client_of("marit"), client_elsewhere):
        assert "Ada Pell" not in other.get(NEW).content.decode()
        kept(other, name="Mallory")
    fields = drafts.fields_of(IntakeDraft.objects.get())
    assert fields["name"] == ["Ada Pell"]


def test_it_lies_sealed(desk: Client) -> None:
    kept(desk)
    with connection.cursor() as cursor:
        cursor.execute("SELECT * FROM intake_intakedraft")
        assert "Ada" not in repr(cursor.fetchall())


def test_it_is_gone_after_a_day(hollin_lane: Shop, tomas: Person) -> None:
    typed = QueryDict("name=Ada")
    for _one in range(2):
        drafts.draft_save(
            shop=hollin_lane,
            person=tomas,
            station=None,
            key=uuid.uuid4(),
            typed=typed,
            asked={},
            kind="quick",
        )
    old = IntakeDraft.objects.earliest("id")
    old.saved_at = timezone.now() - timedelta(hours=25)
    old.save()
    assert len(drafts.waiting(hollin_lane, tomas, None)) == 1
    drafts.sweep()
    assert IntakeDraft.objects.count() == 1


def test_a_stranger_to_the_desk_keeps_none(
    client_of: ClientOf, hollin_lane: Shop
) -> None:
    PersonFactory.create(shop=hollin_lane, roles=["technician"])
    assert kept(client_of("ines")) == 403
