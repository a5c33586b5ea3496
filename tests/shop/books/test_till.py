"""The till: counted once at a time, signed, never changed, late payments later."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.db import DatabaseError, transaction
from django.test import Client
from django.utils import timezone

from shop.billing import services as billing
from shop.books import services, sheets, till
from shop.books.models import CashDay
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from tests.shop.books.acts import eur, pay, refused, send

pytestmark = pytest.mark.django_db


def counted(shop: Shop, by: Person, amount: str, *, reason: str = "") -> CashDay:
    after = shop.cash_days.count()
    return services.cash_day_end(
        shop=shop, by=by, counted=eur(amount), after=after, reason=reason
    )


def test_a_day_is_what_was_carried_paid_and_moved(
    ticket: Ticket, tomas: Person
) -> None:
    shop = ticket.shop
    counted(shop, tomas, "150.00")  # whatever lay there: where it begins
    pay(ticket, tomas, "30.00")
    pay(ticket, tomas, "5.00", "card")
    services.cash_move(shop=shop, by=tomas, why="to_bank", amount=eur("100.00"))
    assert till.now(shop).expected == eur("80.00")
    with pytest.raises(Refused, match="Say why"):
        counted(shop, tomas, "79.50")
    day = counted(shop, tomas, "79.50", reason="wrong change")
    assert (day.expected, day.difference) == (eur("80.00"), eur("-0.50"))
    assert till.now(shop).expected == eur("79.50")
    assert not till.now(shop).payments


def test_what_is_typed_in_late_falls_in_the_next_day(
    ticket: Ticket, tomas: Person
) -> None:
    counted(ticket.shop, tomas, "0")
    billing.payment_take(
        shop=ticket.shop,
        by=tomas,
        ticket=ticket,
        amount=eur("10.00"),
        method="cash",
        at=timezone.now() - timedelta(days=3),
    )
    assert till.now(ticket.shop).expected == eur("10.00")
    day = counted(ticket.shop, tomas, "10.00")
    assert [one.payment.amount for one in day.payments.all()] == [eur("10.00")]


def test_a_day_once_ended_is_not_changed(ticket: Ticket, tomas: Person) -> None:
    day = counted(ticket.shop, tomas, "20.00")
    with pytest.raises(DatabaseError), transaction.atomic():
        CashDay.objects.filter(pk=day.pk).update(counted_minor=1)
    with pytest.raises(DatabaseError), transaction.atomic():
        CashDay.objects.filter(pk=day.pk).delete()


def test_ended_twice_it_is_ended_once(
    ticket: Ticket, client_of: Callable[[str], Client]
) -> None:
    """A double tap carries one key; a second tablet saw the same last count."""
    desk, shop = client_of("tomas"), ticket.shop
    form = {"counted": "20,00", "after": "0"}
    key = send(desk, "books:day_end", form)
    send(desk, "books:day_end", form, key=key)
    assert shop.cash_days.count() == 1
    assert "meanwhile" in refused(desk, "books:day_end", form)
    assert shop.cash_days.count() == 1


@pytest.mark.parametrize(
    ("form", "said"),
    [
        ({"counted": "-1"}, "below 0"),
        ({"counted": ""}, "Count the till"),
        ({"counted": "9.00", "piece_500": "2"}, "come to 10.00"),
        ({"piece_500": "-2"}, "greater than or equal to 0"),
    ],
)
def test_a_count_that_cannot_be_is_refused_and_kept(
    ticket: Ticket,
    client_of: Callable[[str], Client],
    form: dict[str, str],
    said: str,
) -> None:
    page = refused(client_of("tomas"), "books:day_end", {"after": "0", **form})
    assert said in page
    assert all(f'value="{value}"' in page for value in form.values() if value)
    assert not ticket.shop.cash_days.exists()


def test_notes_and_coins_are_added_up(
    ticket: Ticket, client_of: Callable[[str], Client]
) -> None:
    form = {"after": "0", "piece_5000": "2", "piece_200": "3", "piece_5": "1"}
    send(client_of("tomas"), "books:day_end", form)
    day = ticket.shop.cash_days.get()
    assert day.counted == eur("106.05")
    assert day.pieces == {"5000": 2, "200": 3, "5": 1}


def test_no_more_leaves_the_till_than_lies_in_it(ticket: Ticket, tomas: Person) -> None:
    counted(ticket.shop, tomas, "20.00")
    with pytest.raises(Refused, match=r"Only 20\.00"):
        services.cash_move(
            shop=ticket.shop, by=tomas, why="to_owner", amount=eur("20.01")
        )
    with pytest.raises(Refused):
        services.cash_move(
            shop=ticket.shop, by=tomas, why="from_bank", amount=Money.of(5, "NOK")
        )


def test_the_sheet_says_all_and_stays(ticket: Ticket, tomas: Person) -> None:
    shop = ticket.shop
    counted(shop, tomas, "100.00")
    pay(ticket, tomas, "12.00", "card")
    services.cash_move(
        shop=shop, by=tomas, why="bought", amount=eur("3.20"), said="stamps"
    )
    day = counted(shop, tomas, "97.00", reason="found a coin")
    html = sheets.day_sheet_html(day)
    for said in ("Day end 2", "100.00", "stamps", "96.80", "97.00", "found a coin"):
        assert said in html
    assert "Tomas Reyl" in html
    assert "no certified till" in html
    first = sheets.day_sheet(day)
    pay(ticket, tomas, "1.00")
    assert sheets.day_sheet(day) == first
