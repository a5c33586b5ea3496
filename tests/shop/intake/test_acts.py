"""The small pages of a ticket's acts."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from shop.intake import queries
from shop.intake import services as intake
from shop.intake.models import Outcome, Ticket
from shop.people.models import Person

Post = Callable[..., Any]


@pytest.fixture
def bench(client_of: Callable[[str], Client]) -> Client:
    return client_of("ines")


@pytest.fixture
def desk(client_of: Callable[[str], Client]) -> Client:
    return client_of("tomas")


def url(ticket: Ticket, act: str) -> str:
    return f"/tickets/{ticket.number}/{act}/"


def turn(ticket: Ticket) -> Any:
    return queries.turn_of(ticket, timezone.now())


@pytest.mark.parametrize("act", ["story", "park", "told", "promise", "outcome"])
def test_a_page_is_shown_and_an_empty_form_is_asked_again(
    bench: Client, ticket: Ticket, send: Post, act: str
) -> None:
    assert bench.get(url(ticket, act)).status_code == 200
    if act != "story":
        answer = send(bench, url(ticket, act))
        assert answer.status_code == 422
        assert 'class="wrong"' in answer.content.decode()


def test_the_story_is_written_on_one_page(
    bench: Client, ticket: Ticket, send: Post
) -> None:
    fields = {"told": queries.story_of(ticket).told, "found": "A cracked joint."}
    note = queries.events_of(ticket)[0].note
    assert note is not None
    answer = send(bench, url(ticket, "story"), seen_told=note.pk, **fields)
    assert answer["Location"] == ticket.get_absolute_url()
    assert queries.story_of(ticket).found == "A cracked joint."


def test_two_who_write_the_story_see_both_texts(
    bench: Client, ticket: Ticket, send: Post, sami: Person
) -> None:
    theirs = intake.story_write(ticket=ticket, by=sami, kind="found", text="Theirs.")
    fields = {"told": queries.story_of(ticket).told, "found": "Mine.", "seen_found": 0}
    answer = send(bench, url(ticket, "story"), **fields)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert page.count("Theirs.") == 1
    assert page.count("Mine.") == 2
    assert f'name="seen_found" value="{theirs.pk}"' in page
    again = send(bench, url(ticket, "story"), **(fields | {"seen_found": theirs.pk}))
    assert again.status_code == 302
    assert queries.story_of(ticket).found == "Mine."


def test_park_and_take_up_again(bench: Client, ticket: Ticket, send: Post) -> None:
    fields = {"waits_for": "resting", "because": "drying", "until": "2099-01-01"}
    assert send(bench, url(ticket, "park"), **fields).status_code == 302
    assert turn(ticket).part == "parked"
    assert send(bench, url(ticket, "unpark"), key="2").status_code == 302
    assert turn(ticket).part == "queue"


def test_a_day_that_is_over_is_said_beside_its_field(
    bench: Client, ticket: Ticket, send: Post
) -> None:
    fields = {"waits_for": "resting", "because": "drying", "until": "2020-01-01"}
    answer = send(bench, url(ticket, "park"), **fields)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "That moment is over: it ends later" in page
    assert 'value="2020-01-01"' in page
    assert turn(ticket).part == "queue"


def test_told_and_promised(desk: Client, ticket: Ticket, send: Post) -> None:
    fields = {"channel": "text", "next_contact": "2099-01-01"}
    assert send(desk, url(ticket, "told"), **fields).status_code == 302
    promise = {"promise": "2099-01-02T12:00", "key": "2"}
    assert send(desk, url(ticket, "promise"), **promise).status_code == 302
    assert str(turn(ticket).next_contact) == "2099-01-01"
    assert turn(ticket).promise.isoformat() == "2099-01-02T12:00:00+00:00"


def test_the_outcome_is_recorded_once(
    bench: Client, ticket: Ticket, send: Post
) -> None:
    assert send(bench, url(ticket, "outcome"), kind="no_fix").status_code == 422
    assert send(bench, url(ticket, "outcome"), kind="fixed").status_code == 302
    again = send(bench, url(ticket, "outcome"), key="2", kind="declined")
    assert "already" in again.content.decode()
    assert Outcome.objects.get().kind == "fixed"


def test_a_thing_is_put_at_a_place_and_given_back(
    desk: Client, ticket: Ticket, send: Post
) -> None:
    place, back = url(ticket, "things/1/place"), url(ticket, "things/1/back")
    assert desk.get(place).status_code == 200
    assert send(desk, place, place="Shelf C4").status_code == 302
    assert send(desk, back, key="2").status_code == 302
    assert send(desk, back, key="3").status_code == 422
    [kept] = queries.things_of(ticket)
    assert (kept.place, kept.is_given_back) == ("Shelf C4", True)
    assert desk.get(url(ticket, "things/9/place")).status_code == 404


def test_a_closed_ticket_says_so(
    desk: Client, ticket: Ticket, send: Post, tomas: Person
) -> None:
    intake.handover_do(ticket=ticket, by=tomas, given_to="Ada Pell")
    answer = send(desk, url(ticket, "unpark"))
    assert answer.status_code == 422
    assert "closed" in answer.content.decode()


def test_a_customer_is_put_right(desk: Client, ticket: Ticket, send: Post) -> None:
    page = f"/counter/customers/{ticket.customer.pk}/"
    assert ticket.number in desk.get(page).content.decode()
    fields = {"name": "Ada Pell-Quist", "version": 1, "channel": "email"}
    assert send(desk, page, **fields).status_code == 302
    ticket.customer.refresh_from_db()
    assert ticket.customer.name == "Ada Pell-Quist"


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"tax_id": "DE 136,695 977"}, "mistyped"),
        ({"taxed": "AE"}, "needs the customer’s VAT id"),
        ({"taxed": "AE", "tax_id": "12/345"}, "needs the customer’s VAT id"),
        ({"country": "D1"}, "Two letters"),
    ],
)
def test_what_an_invoice_can_not_say_of_a_customer_stands_beside_its_field(
    desk: Client, ticket: Ticket, send: Post, typed: dict[str, str], said: str
) -> None:
    page = f"/counter/customers/{ticket.customer.pk}/"
    answer = send(desk, page, name="Ada Pell", version=1, **typed)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    for value in typed.values():
        assert f'value="{value}"' in answer.content.decode()


def test_a_customer_who_owes_the_tax_is_kept_so(
    desk: Client, ticket: Ticket, send: Post
) -> None:
    """The VAT id is python-stdnum's own example."""
    page = f"/counter/customers/{ticket.customer.pk}/"
    fields = {"name": "Ada Pell", "version": 1, "country": "de"}
    taxed = {"taxed": "AE", "tax_id": "DE 136,695 976"}
    assert send(desk, page, **fields, **taxed).status_code == 302
    row = Ticket.objects.get(pk=ticket.pk).customer
    assert (row.country, row.taxed, row.tax_id) == ("DE", "AE", "DE 136,695 976")


def test_a_stale_customer_page_shows_both(
    desk: Client, ticket: Ticket, send: Post, tomas: Person
) -> None:
    row = ticket.customer
    intake.customer_change(customer=row, by=tomas, version=1, phone_typed="0100")
    page = f"/counter/customers/{row.pk}/"
    fields = {"name": "A. Pell", "version": 1, "phone": "+00 555 0142"}
    answer = send(desk, page, **fields)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "0100" in text
    assert 'value="A. Pell"' in text
    assert send(desk, page, **(fields | {"version": 2})).status_code == 302


def test_acts_are_of_this_shop(
    client_elsewhere: Client, ticket: Ticket, send: Post
) -> None:
    for act in ("story", "device", "park", "told", "promise", "outcome"):
        assert client_elsewhere.get(url(ticket, act)).status_code == 404
    assert send(client_elsewhere, url(ticket, "unpark")).status_code == 404
