"""They phoned: one tap keeps what they were told, and counts as told."""

import re
import uuid
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from shop.desk.day import SILENT_AFTER, day_list
from shop.desk.phoned import calls_of, mark
from shop.desk.read_out import said_of
from shop.intake import event_words
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.intake.queries import turn_of
from shop.people.models import Person
from shop.records.models import Event
from tests.factories import TicketFactory

ClientOf = Callable[[str], Client]


def tap(client: Client, ticket: Ticket, **fields: object) -> Any:
    page = client.get(ticket.get_absolute_url()).content.decode()
    shown = re.search(r'name="told" value="(\w+)"', page)
    usual = re.search(r'name="next_contact" value="([\d-]+)" checked', page)
    assert shown
    assert usual
    form = {
        "idempotency_key": str(uuid.uuid4()),
        "told": shown[1],
        "next_contact": usual[1],
        **fields,
    }
    return client.post(f"/tickets/{ticket.number}/phoned/", form)


def test_one_tap_keeps_it_and_the_day_list_knows(
    client_of: ClientOf, tomas: Person
) -> None:
    weeks_ago = timezone.now() - 3 * SILENT_AFTER
    ticket = TicketFactory.create(by=tomas, at=weeks_ago)
    assert day_list(ticket.shop, timezone.now()).groups[0].rows[0].is_silent
    assert tap(client_of("tomas"), ticket).status_code == 302
    (row,) = day_list(ticket.shop, timezone.now()).groups[0].rows
    assert not row.is_silent
    in_three_days = timezone.localdate() + timedelta(days=3)
    assert turn_of(ticket, timezone.now()).next_contact == in_three_days
    event = Event.objects.latest("id")
    assert event_words.happened(event).startswith(
        "Phoned in, and was told: “Your laptop is with us and waits for its first look."
    )
    assert len(calls_of(ticket)) == 1
    page = client_of("ines").get(ticket.get_absolute_url()).content.decode()
    assert "phoned in once" in page


def test_what_has_changed_meanwhile_is_not_kept_as_told(
    ticket: Ticket, client_of: ClientOf, tomas: Person
) -> None:
    before = mark(said_of(ticket, timezone.now()))
    intake.ticket_park(
        ticket=ticket, by=tomas, until=None, because="deposit", waits_for="customer"
    )
    answer = tap(client_of("tomas"), ticket, told=before)
    assert answer.status_code == 422
    assert "read out what stands there" in answer.content.decode()
    assert "we wait for your deposit" in answer.content.decode()
    assert not calls_of(ticket)


@pytest.mark.parametrize("day", ["not a day", "2020-01-01"])
def test_a_day_that_is_none_is_refused(
    ticket: Ticket, client_of: ClientOf, day: str
) -> None:
    assert tap(client_of("tomas"), ticket, next_contact=day).status_code == 422
    assert not calls_of(ticket)


def test_a_closed_ticket_is_read_out_and_takes_no_call(
    worked_ticket: Ticket, client_of: ClientOf, tomas: Person
) -> None:
    intake.handover_do(ticket=worked_ticket, by=tomas, given_to="Ada Pell")
    page = client_of("tomas").get(worked_ticket.get_absolute_url()).content.decode()
    assert ", repaired." in page
    assert "Phoned in, told this" not in page
