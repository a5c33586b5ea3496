"""Passcodes: asked only if needed, seen by few, written down, gone at the handover."""

import uuid
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.test import Client, RequestFactory
from django.urls import reverse
from django.utils import timezone
from django.views.debug import ExceptionReporter

from shop.intake import event_words, passcode_panel, passcodes, queries
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.intake.passcode_models import Passcode
from shop.intake.passcodes import passcode_erase, passcode_keep, passcode_show
from shop.intake.pattern_drawing import drawing
from shop.people.models import Person
from shop.records import field_keys
from shop.records.errors import Refused
from shop.records.models import Event, KeptAnswer

ClientOf = Callable[[str], Client]
WORD = "Tawny-7 owl"


def page_of(ticket: Ticket, name: str = "passcode") -> str:
    return reverse(f"intake:{name}", args=[ticket.number])


def kinds_of(ticket: Ticket) -> list[str]:
    told = Event.objects.filter(ticket_id=ticket.pk, kind__startswith="passcode")
    return [f"{one.kind} {'/'.join(map(str, one.codes.values()))}" for one in told]


def test_it_is_kept_seen_with_a_reason_and_erased(
    ticket: Ticket, tomas: Person, ines: Person
) -> None:
    passcode_keep(ticket=ticket, by=tomas, kind="password", text=WORD)
    for _look in range(2):
        assert passcode_show(ticket=ticket, by=ines, reason="proof") == WORD
    for _again in range(2):
        passcode_erase(ticket=ticket, by=tomas)
    assert kinds_of(ticket) == [
        "passcode_kept password",
        "passcode_shown proof",
        "passcode_shown proof",
        "passcode_erased by_hand",
    ]
    with pytest.raises(Refused, match="No passcode"):
        passcode_show(ticket=ticket, by=ines, reason="proof")
    said = [event_words.happened(event) for event in queries.events_of(ticket)]
    assert "Passcode shown: to prove the repair" in said
    assert "Passcode: password" in said


@pytest.mark.parametrize("kind", ["fixed", "declined", "data_handed_over"])
def test_closing_erases_it_in_the_same_act(
    ticket: Ticket, tomas: Person, kind: str
) -> None:
    passcode_keep(ticket=ticket, by=tomas, kind="pin", text="4071")
    intake.outcome_record(ticket=ticket, by=tomas, kind=kind)
    intake.handover_do(ticket=ticket, by=tomas, given_to="Ada Pell")
    row = Passcode.objects.get()
    assert (row.sealed, row.kind) == ("", "pin")
    assert row.erased_at is not None
    assert kinds_of(ticket)[-1] == "passcode_erased closed"
    for act in (
        lambda: passcode_keep(ticket=ticket, by=tomas, kind="pin", text="4071"),
        lambda: passcode_show(ticket=ticket, by=tomas, reason="proof"),
    ):
        with pytest.raises(Refused, match="closed"):
            act()


@pytest.mark.parametrize(
    ("kind", "text", "why"),
    [
        ("pin", "", "Type it"),
        ("pin", "40 71", "digits alone"),
        ("pin", "٤٠٧١", "digits alone"),
        ("password", "x" * 129, "At most"),
        ("pattern", "123", "at least four"),
        ("pattern", "12321", "each once"),
        ("pattern", "12a4", "1 to 9"),
        ("guess", "1", "Choose"),
    ],
)
def test_what_makes_no_sense_is_refused(
    ticket: Ticket, tomas: Person, kind: str, text: str, why: str
) -> None:
    with pytest.raises(Refused, match=why):
        passcode_keep(ticket=ticket, by=tomas, kind=kind, text=text)
    assert not Passcode.objects.exists()


def test_a_password_keeps_its_edges(ticket: Ticket, client_of: ClientOf) -> None:
    form = {"kind": "password", "passcode": " edge ", "seen": "0"}
    assert client_of("tomas").post(page_of(ticket), form).status_code == 302
    shown = client_of("ines").post(
        page_of(ticket, "passcode_show"), {"reason": "proof"}
    )
    assert shown.context["text"] == " edge "


def test_the_same_form_twice_is_kept_once(ticket: Ticket, client_of: ClientOf) -> None:
    form = {"kind": "password", "passcode": WORD, "seen": "0"}
    client = client_of("tomas")
    answers = [client.post(page_of(ticket), form).status_code for _tap in range(2)]
    assert answers == [302, 302]
    assert kinds_of(ticket) == ["passcode_kept password"]
    assert not KeptAnswer.objects.exists()


def test_an_older_form_does_not_take_the_place_of_a_newer(
    ticket: Ticket, client_of: ClientOf, tomas: Person
) -> None:
    passcode_keep(ticket=ticket, by=tomas, kind="pin", text="4071")
    form = {"kind": "pin", "passcode": "9999", "seen": "0"}
    answer = client_of("marit").post(page_of(ticket), form)
    assert answer.status_code == 422
    assert "Somebody else" in answer.content.decode()
    assert 'name="seen" value="1"' in answer.content.decode()
    assert client_of("marit").post(page_of(ticket), form | {"seen": "1"})["Location"]


def test_only_a_technician_sees_it_and_only_fresh(
    ticket: Ticket, client_of: ClientOf, tomas: Person
) -> None:
    passcode_keep(ticket=ticket, by=tomas, kind="password", text=WORD)
    url, why = page_of(ticket, "passcode_show"), {"reason": "boot_test"}
    for person in ("tomas", "marit"):
        assert client_of(person).post(url, why).status_code == 403
    client = client_of("ines")
    assert client.post(url, {}).status_code == 422
    shown = client.post(url, why)
    assert WORD in shown.content.decode()
    assert shown["Cache-Control"] == "no-store"
    assert shown["Refresh"].startswith("60; url=/tickets/")
    assert WORD not in shown.content.decode().partition("</title>")[0]
    with time_machine.travel(timezone.now() + timedelta(minutes=16)):
        late = client.post(url, why)
    assert late["Location"].startswith(reverse("people:again"))
    assert kinds_of(ticket)[1:] == ["passcode_shown boot_test"]


def test_the_ticket_page_says_that_it_is_kept_and_not_what(
    ticket: Ticket, client_of: ClientOf, tomas: Person, ines: Person
) -> None:
    page = client_of("ines").get(ticket.get_absolute_url()).content.decode()
    assert "Not asked yet" in page
    passcode_keep(ticket=ticket, by=tomas, kind="password", text=WORD)
    passcode_show(ticket=ticket, by=ines, reason="proof")
    for person in ("ines", "tomas"):
        page = client_of(person).get(ticket.get_absolute_url()).content.decode()
        assert "A password, kept sealed by Tomas Reyl" in page
        assert "Looked at once, by Ines Okafor" in page
        assert WORD not in page
        assert ("See it" in page) == (person == "ines")


def test_a_lost_key_is_said_and_nothing_else_breaks(
    ticket: Ticket, client_of: ClientOf, tomas: Person, settings: Any, tmp_path: Path
) -> None:
    passcode_keep(ticket=ticket, by=tomas, kind="password", text=WORD)
    settings.FIELD_KEYS_FILE = tmp_path / "field_keys"
    said = "be opened any more. Ask the customer again."
    assert said in passcode_panel.panel(ticket, tomas)
    client = client_of("ines")
    answer = client.post(page_of(ticket, "passcode_show"), {"reason": "proof"})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    form = {"kind": "password", "passcode": WORD, "seen": "1"}
    assert client.post(page_of(ticket), form).status_code == 302
    assert passcode_show(ticket=ticket, by=tomas, reason="proof") == WORD
    assert len(field_keys.kept()) == 1


def test_intake_asks_whether_it_goes_without(
    client_of: ClientOf, tomas: Person
) -> None:
    """``no`` leads to the passcode's own form, and from there to the job slip."""
    client = client_of("tomas")
    where = {}
    for answer in ("yes", "no", "not_recorded"):
        form = {
            "name": "Ada Pell",
            "model": "Orrin 14",
            "told": "Dead.",
            "without_passcode": answer,
            "then": "print",
            "idempotency_key": str(uuid.uuid4()),
        }
        where[answer] = client.post(reverse("intake:ticket_new"), form)["Location"]
    assert where["yes"].endswith("job-slip.pdf")
    assert where["no"].endswith("/passcode/?then=print")
    kept = client.post(where["no"], {"kind": "pin", "passcode": "4071", "seen": "0"})
    assert kept["Location"].endswith("job-slip.pdf")
    assert sorted(Passcode.objects.values_list("kind", flat=True)) == ["none", "pin"]


@pytest.mark.parametrize("breaks", ["keep", "show"])
def test_an_error_report_does_not_hold_it(
    ticket: Ticket, tomas: Person, monkeypatch: pytest.MonkeyPatch, breaks: str
) -> None:
    """Django's report, with the variables of every frame, of a fault in each act."""

    def fault(*_args: Any, **_more: Any) -> None:
        raise RuntimeError("something of ours broke")

    if breaks == "show":
        passcode_keep(ticket=ticket, by=tomas, kind="password", text=WORD)
    monkeypatch.setattr(passcodes, "tell", fault)
    try:
        if breaks == "keep":
            passcode_keep(ticket=ticket, by=tomas, kind="password", text=WORD)
        passcode_show(ticket=ticket, by=tomas, reason="proof")
    except RuntimeError as error:
        request = RequestFactory().post("/")
        report = ExceptionReporter(
            request, RuntimeError, error, error.__traceback__
        ).get_traceback_html()
    assert "something of ours broke" in report
    assert "still_open" in report or "row" in report
    assert WORD not in report


def test_a_pattern_is_drawn_through_its_dots() -> None:
    drawn = drawing("2589")
    assert drawn.line == "64,24 64,64 64,104 104,104"
    assert [dot.number for dot in drawn.dots if dot.is_first] == ["2"]
    assert drawing().line == ""
