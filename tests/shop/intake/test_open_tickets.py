"""Open tickets are found without a look at the closed ones, and none is missed."""

import random

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from shop.intake import open_tickets, queries
from shop.intake.models import Handover, Ticket
from shop.people.models import Person, Shop
from tests.factories import TicketFactory

pytestmark = pytest.mark.django_db(transaction=True)


def found(shop: Shop) -> list[int]:
    return [one.pk for one in queries.tickets_open(shop)]


def asked_plainly(shop: Shop) -> list[int]:
    rows = Ticket.objects.filter(shop=shop, handover=None).order_by("id")
    return list(rows.values_list("pk", flat=True))


def close(ticket_id: int) -> None:
    Handover.objects.create(ticket_id=ticket_id, given_to="Ada Osei")


def test_what_is_kept_gives_what_a_plain_question_gives(
    hollin_lane: Shop, tomas: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(open_tickets, "TAIL", 2)
    chance = random.Random(7)
    for _step in range(25):
        known = asked_plainly(hollin_lane)
        if known and chance.random() < 0.5:
            close(chance.choice(known))
        else:
            TicketFactory.create(by=tomas)
        if chance.random() < 0.7:
            assert found(hollin_lane) == asked_plainly(hollin_lane)
    assert found(hollin_lane) == asked_plainly(hollin_lane)


def test_only_those_are_asked_for_that_may_be_open(
    hollin_lane: Shop, tomas: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(open_tickets, "TAIL", 0)
    tickets = [TicketFactory.create(by=tomas) for _number in range(4)]
    for one in tickets[:3]:
        close(one.pk)
    found(hollin_lane)
    with CaptureQueriesContext(connection) as asked:
        assert found(hollin_lane) == [tickets[3].pk]
    assert f'"id" IN ({tickets[3].pk})' in asked[-1]["sql"]


def test_a_closing_that_is_taken_back_hides_nothing(
    hollin_lane: Shop, tomas: Person
) -> None:
    ticket = TicketFactory.create(by=tomas)
    assert found(hollin_lane) == [ticket.pk]
    with transaction.atomic():
        close(ticket.pk)
        assert found(hollin_lane) == []
        transaction.set_rollback(True)
    assert found(hollin_lane) == [ticket.pk]
