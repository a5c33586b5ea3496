"""A part that is late: put off, from elsewhere, or waited for no more."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from shop.billing import queries
from shop.billing import services as billing
from shop.billing.models import OrderLine
from shop.intake import queries as tickets
from shop.intake.models import Ticket
from shop.intake.turn import Turn
from shop.money import Money
from shop.people.models import Person
from shop.records.errors import Refused

ClientOf = Callable[[str], Client]
KEY = "0123456789abcdef-{}"


@pytest.fixture
def late(ticket: Ticket, ines: Person) -> OrderLine:
    """A controller that should have been here two days ago."""
    return billing.part_order(
        ticket=ticket,
        by=ines,
        supplier="Marsh",
        name="controller",
        quantity=2,
        price=Money.of("4.10", "EUR"),
        due_on=timezone.now().date() - timedelta(days=2),
    )


def turn(ticket: Ticket) -> Turn:
    return tickets.turn_of(ticket, timezone.now())


def send(client: Client, url: str, key: int = 1, **typed: object) -> Any:
    return client.post(url, {"idempotency_key": KEY.format(key), **typed})


def late_ones(ticket: Ticket) -> list[OrderLine]:
    return queries.orders_late([ticket], timezone.now().date())


def test_a_new_date_is_told_and_asked_for_again(
    late: OrderLine, ticket: Ticket, client_of: ClientOf
) -> None:
    assert late_ones(ticket) == [late]
    url = f"/tickets/{ticket}/order/{late.pk}/late/"
    desk, day = client_of("tomas"), timezone.now().date() + timedelta(days=9)
    assert send(desk, url, due_on="2020-01-01", channel="phone").status_code == 422
    assert send(desk, url, 2, due_on=day, channel="phone").status_code == 302
    now = turn(ticket)
    assert (now.details["due_on"], now.next_contact) == (str(day), day)
    assert late_ones(ticket) == []


def test_a_new_date_nobody_was_told_of_breaks_no_silence(
    late: OrderLine, ticket: Ticket, client_of: ClientOf
) -> None:
    before = turn(ticket).silent_since
    url = f"/tickets/{ticket}/order/{late.pk}/late/"
    day = timezone.now().date() + timedelta(days=9)
    send(client_of("tomas"), url, due_on=day, channel="not_told")
    assert turn(ticket).silent_since == before


def test_from_another_supplier_one_order_takes_the_others_place(
    late: OrderLine, ticket: Ticket, client_of: ClientOf
) -> None:
    url = f"/tickets/{ticket}/order/{late.pk}/elsewhere/"
    bench = client_of("ines")
    assert 'value="controller"' in bench.get(url).content.decode()
    typed: dict[str, Any] = {
        "supplier": "Fenwater",
        "name": "controller",
        "quantity": 2,
        "price": "5",
    }
    assert send(bench, url, **typed).status_code == 302
    [old, new] = queries.orders_of(ticket)
    assert old == (late, "ended")
    assert (new[0].supplier, new[1]) == ("Fenwater", "")
    assert turn(ticket).details["count"] == 1
    assert send(bench, url, 2, **typed).status_code == 422


def test_cancelled_it_is_ours_again_and_leads_to_the_money(
    late: OrderLine, ticket: Ticket, tomas: Person, client_of: ClientOf
) -> None:
    deposit = Money.of(40, "EUR")
    billing.payment_take(
        shop=ticket.shop, by=tomas, ticket=ticket, amount=deposit, method="cash"
    )
    url = f"/tickets/{ticket}/order/{late.pk}/cancel/"
    desk = client_of("tomas")
    assert "40.00" in desk.get(url).content.decode()
    answer = send(desk, url)
    assert answer["Location"] == f"/tickets/{ticket}/payment/"
    back = {"amount": "-40", "method": "cash", "reason": "No part"}
    assert send(desk, answer["Location"], 2, **back).status_code == 302
    assert queries.paid(ticket).amount == 0
    assert turn(ticket).whose == "ours"
    with pytest.raises(Refused):
        billing.part_arrive(order_line=late, by=tomas)
    with pytest.raises(Refused):
        billing.order_end(order_line=late, by=tomas)
