"""A quote drafted from the leading suspect, with the doubt said in plain words."""

from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics import advising
from diagnostics.engine.assessment import Assessment, Suspect
from diagnostics.models import Board
from shop.billing import drafts
from shop.billing.lines import line_of
from shop.desk.quoting import quote_draft_from_suspect, with_doubt
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from tests.samples import board_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def board(ticket: Ticket, ines: Person) -> Board:
    return board_of(ticket, ines)


@pytest.fixture
def suspected(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the engine says where it has looked: the main capacitor, and the dual."""
    said = Assessment(
        suspects=(
            Suspect("p.cmain", "short", "main", 0.5),
            Suspect("p.dual", "no_output", "keep5", 0.2),
            Suspect("p.cmain", "leaky", "main", 0.2),
        ),
        no_fault=0.0,
        something_else=0.1,
        confidence=0.7,
        offers=(),
        stop=None,
        confirm=None,
        disagreements=(),
        measured=5,
        not_looked_at=(),
    )
    monkeypatch.setattr(advising, "said_on_page", lambda _known: said)


def test_nothing_is_drafted_before_there_is_a_suspect(
    ticket: Ticket, board: Board, ines: Person
) -> None:
    with pytest.raises(Refused, match="no suspect yet"):
        quote_draft_from_suspect(ticket=ticket, board=board, by=ines)


def test_part_minutes_and_doubt_come_from_the_suspect(
    suspected: None,
    ticket: Ticket,
    board: Board,
    client_of: Callable[[str], Client],
) -> None:
    """0.5 and 0.2 for the one part: in about 3 of 10 it is something else."""
    Ticket.objects.filter(pk=ticket.pk).update(liquid="unsure")
    client = client_of("ines")
    url = reverse("desk:quote_draft", args=[ticket.number, board.pk])
    answer: Any = client.post(url, {"idempotency_key": uuid4().hex})
    page = reverse("billing:quote_new", args=[ticket.number])
    assert answer["Location"] == page
    draft = drafts.draft_of(ticket)
    assert draft is not None
    lines = [line_of(row) for row in draft.lines.all()]
    codes = [line.code for line in lines]
    assert codes == ["fee", "labour.repair", "part", "consumables"]
    assert int(lines[1].quantity) % 15 == 0  # in steps, as it will be billed
    assert lines[1].quantity > 0
    assert lines[2].net.amount > 0  # by its class of cost: none is on the shelf
    assert draft.cause.startswith("Most likely: ")
    assert "3 of 10 such cases" in draft.cause
    assert "liquid" in draft.risks.split()
    shown = client.get(page).content.decode()
    assert "3 of 10 such cases" in shown
    assert not ticket.quotes.exists()


@pytest.mark.parametrize(
    ("years", "is_named"), [(None, False), (6, False), (7, True), (12, True)]
)
def test_an_old_machine_is_named_among_the_risks(
    suspected: None,
    ticket: Ticket,
    board: Board,
    ines: Person,
    client_of: Callable[[str], Client],
    years: int | None,
    is_named: bool,
) -> None:
    """From seven years on, in the quote by hand as in the one that is drafted."""
    if years is not None:
        made = timezone.now().astimezone(ticket.shop.zone).year - years
        intake.device_change(ticket=ticket, by=ines, version=1, year_made=made)
        ticket.device.refresh_from_db()
    start = drafts.start_of(ticket, timezone.now())
    assert ("age" in start.risks) is is_named
    draft = quote_draft_from_suspect(ticket=ticket, board=board, by=ines)
    assert ("age" in draft.risks.split()) is is_named
    page = reverse("billing:quote_new", args=[ticket.number])
    ticked = 'value="age" id="id_risks_2" checked' in (
        client_of("ines").get(page).content.decode()
    )
    assert ticked is is_named


def test_a_sure_cause_has_no_doubt_beside_it() -> None:
    assert with_doubt("A capacitor.", 0.97) == with_doubt("A capacitor.", None)
    assert with_doubt("A capacitor.", 0.97) == "A capacitor."
    assert "1 of 10" in with_doubt("A capacitor.", 0.949)
