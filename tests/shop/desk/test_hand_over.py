"""Handing over: not before the bench is done, not unpaid without a reason."""

import uuid
from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from shop.billing import queries as money
from shop.billing import services as billing
from shop.desk import services as desk
from shop.intake.models import Handover, Ticket
from shop.people.models import Person
from shop.records.errors import Refused

ClientOf = Callable[[str], Client]


def hand_over(client: Client, ticket: Ticket, **typed: str) -> int:
    url = reverse("desk:handover", args=[ticket.number])
    form = {"given_to": "Ada Pell", "idempotency_key": str(uuid.uuid4())} | typed
    return client.post(url, form).status_code


@pytest.mark.django_db
def test_it_waits_for_the_benchs_word(ticket: Ticket, client_of: ClientOf) -> None:
    assert hand_over(client_of("tomas"), ticket) == 422
    assert not Handover.objects.exists()


@pytest.mark.django_db
def test_money_owing_holds_it_at_the_front_desk(
    worked_ticket: Ticket, client_of: ClientOf
) -> None:
    assert hand_over(client_of("tomas"), worked_ticket) == 422
    assert not Handover.objects.exists()


@pytest.mark.django_db
def test_the_owner_may_let_it_go_with_a_reason(
    worked_ticket: Ticket, client_of: ClientOf
) -> None:
    marit = client_of("marit")
    assert hand_over(marit, worked_ticket) == 422
    assert hand_over(marit, worked_ticket, owing_reason="pays on Friday") == 302
    assert worked_ticket.handover.owing_reason == "pays on Friday"


@pytest.mark.django_db
def test_paid_it_goes_and_the_ticket_is_closed(
    worked_ticket: Ticket, tomas: Person
) -> None:
    due = money.balance(worked_ticket).due
    billing.payment_take(
        shop=worked_ticket.shop,
        by=tomas,
        amount=due,
        method="cash",
        ticket=worked_ticket,
    )
    desk.hand_over(ticket=worked_ticket, by=tomas, given_to="Ada Pell")
    assert worked_ticket.handover.given_to == "Ada Pell"
    with pytest.raises(Refused):
        desk.hand_over(ticket=worked_ticket, by=tomas, given_to="Ada Pell")
