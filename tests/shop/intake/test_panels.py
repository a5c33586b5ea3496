"""What the ticket page shows of this room."""

from datetime import timedelta

import pytest
from django.test import RequestFactory
from django.utils import timezone

from shop.intake import panels, queries
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.intake.services import ThingDraft
from shop.people.models import Person
from tests.factories import TicketFactory


@pytest.fixture
def old(tomas: Person) -> Ticket:
    return TicketFactory.create(
        by=tomas,
        at=timezone.now() - timedelta(days=6),
        things=[ThingDraft("adapter")],
        hot_or_swollen="yes",
    )


def test_the_story_and_what_happened_are_shown(old: Ticket, ines: Person) -> None:
    intake.story_write(ticket=old, by=ines, kind="found", text="A <b>bad</b> joint.")
    shown = panels.panel(old, ines)
    assert "Charged it overnight" in shown
    assert "A &lt;b&gt;bad" in shown
    assert "not written yet" in shown
    assert "Taken in" in shown
    assert "Ines Okafor" in shown


def test_the_turn_says_whose_since_when_and_for_what(old: Ticket, ines: Person) -> None:
    shown = panels.turn(old, ines)
    assert "<b>Ours</b>" in shown
    assert "Look at the pack before anything else" in shown
    assert "6 days" in shown
    assert "isolate first" in shown
    assert f"{old.number}-2" in shown


def test_buttons_need_a_request_and_the_right_role(
    old: Ticket, ines: Person, tomas: Person, rf: RequestFactory
) -> None:
    assert "Give back" not in panels.turn(old, tomas)
    assert "Give back" not in panels.turn(old, ines, rf.get("/"))
    shown = panels.turn(old, tomas, rf.get("/"))
    assert "Give back" in shown
    assert "csrfmiddlewaretoken" in shown


def test_a_closed_ticket_offers_no_more_acts(
    old: Ticket, tomas: Person, rf: RequestFactory
) -> None:
    intake.handover_do(ticket=old, by=tomas, given_to="Ada Pell")
    shown = panels.turn(old, tomas, rf.get("/"))
    assert "Nobody’s" in shown
    assert "Handed over on" in shown
    assert "/park/" not in shown


def test_the_strip_is_drawn_to_scale_and_said_in_words(
    old: Ticket, tomas: Person
) -> None:
    day = timedelta(days=1)
    intake.ticket_park(
        ticket=old,
        by=tomas,
        until=None,
        because="decision",
        waits_for="customer",
        at=old.opened_at + 2 * day,
    )
    turn = queries.turn_of(old, old.opened_at + 6 * day)
    drawn = panels.stretches(turn, width=300)
    assert [(one.x, one.width, one.words) for one in drawn] == [
        (0, 100, "Ours, in the queue 2 days"),
        (100, 200, "The customer’s 4 days"),
    ]


def test_a_ticket_of_this_second_has_no_strip(ticket: Ticket) -> None:
    turn = queries.turn_of(ticket, ticket.opened_at)
    assert panels.stretches(turn) == []
