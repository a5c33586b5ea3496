"""Advice is kept when a quote is drafted and when a ticket is closed."""

import pytest

from diagnostics.models import Advice
from shop.billing import services as billing
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people.models import Person
from tests.samples import board_of, line


@pytest.mark.django_db
def test_a_quote_and_a_closing_keep_what_the_engine_says(
    ticket: Ticket, tomas: Person, ines: Person
) -> None:
    board = board_of(ticket, ines)
    billing.quote_send(ticket=ticket, by=tomas, lines=[line()])
    intake.outcome_record(ticket=ticket, by=ines, kind="no_fault_found")
    intake.handover_do(ticket=ticket, by=tomas, given_to="Ada Pell")
    kept = Advice.objects.filter(board=board).order_by("id")
    assert [(row.moment, row.by) for row in kept] == [
        (Advice.Moment.QUOTE_DRAFTED, tomas),
        (Advice.Moment.TICKET_CLOSED, tomas),
    ]
    assert kept[0].family_hash


@pytest.mark.django_db
def test_a_ticket_without_a_board_keeps_none(ticket: Ticket, tomas: Person) -> None:
    billing.quote_send(ticket=ticket, by=tomas, lines=[line()])
    assert not Advice.objects.exists()
