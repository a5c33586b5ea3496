"""How old a machine is: typed at the counter, put right on its page, never guessed."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from shop.intake import event_words, queries
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused, StaleEdit
from shop.records.models import Event

Post = Callable[..., Any]
THIS_YEAR = timezone.now().year


@pytest.fixture
def desk(client_of: Callable[[str], Client]) -> Client:
    return client_of("tomas")


def page_of(ticket: Ticket) -> str:
    return f"/tickets/{ticket.number}/device/"


def facts_of(ticket: Ticket, **changed: object) -> dict[str, Any]:
    device = ticket.device
    names = ("kind", "model", "serial", "board_number_seen", "version")
    return {name: getattr(device, name) for name in names} | changed


def test_the_year_is_asked_and_needs_no_answer(desk: Client, take_in: Post) -> None:
    assert "Year made or bought, if known" in desk.get("/counter/new/").content.decode()
    take_in(desk)
    assert Ticket.objects.get().device.year_made is None


def test_the_year_that_was_typed_is_kept(desk: Client, take_in: Post) -> None:
    take_in(desk, year_made="2017")
    ticket = Ticket.objects.get()
    assert ticket.device.year_made == 2017
    page = desk.get(ticket.get_absolute_url()).content.decode()
    assert "made or bought 2017" in page


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("1989", f"A year from 1990 to {THIS_YEAR}."),
        (str(THIS_YEAR + 1), f"A year from 1990 to {THIS_YEAR}."),
        ("99999999", f"A year from 1990 to {THIS_YEAR}."),
        ("-2017", f"A year from 1990 to {THIS_YEAR}."),
        ("old", "whole number"),
    ],
)
def test_a_year_that_cannot_be_is_refused_beside_its_field(
    desk: Client, take_in: Post, typed: str, said: str
) -> None:
    answer = take_in(desk, year_made=typed)
    assert answer.status_code == 422
    assert answer.context["form"].errors.keys() == {"year_made"}
    assert said in answer.content.decode()
    assert f'value="{typed}"' in answer.content.decode()
    assert not Ticket.objects.exists()


def test_the_first_and_the_present_year_can_be(desk: Client, take_in: Post) -> None:
    for serial, year in (("A-1", 1990), ("A-2", THIS_YEAR)):
        take_in(desk, key=serial, serial=serial, year_made=str(year))
        assert Ticket.objects.latest("pk").device.year_made == year


def test_a_machine_that_returns_keeps_its_year(desk: Client, take_in: Post) -> None:
    """Left empty the next time, nothing is unsaid; another year is what counts."""
    take_in(desk, year_made="2017")
    first = Ticket.objects.get()
    again = {"customer": first.customer_id, "version": first.customer.version}
    take_in(desk, key="2", **again)
    assert Ticket.objects.latest("pk").device == first.device
    first.device.refresh_from_db()
    assert first.device.year_made == 2017
    take_in(desk, key="3", year_made="2018", **again)
    first.device.refresh_from_db()
    assert first.device.year_made == 2018


def test_a_quick_intake_asks_it_with_the_rest(
    desk: Client, take_in: Post, send: Post
) -> None:
    assert (
        'name="year_made"'
        not in desk.get("/counter/new/?intake=quick").content.decode()
    )
    take_in(desk, intake="quick")
    ticket = Ticket.objects.get()
    answer = send(
        desk, f"/tickets/{ticket}/finish/", key="2", serial="Z-1", year_made="2015"
    )
    assert answer.status_code == 302
    ticket.device.refresh_from_db()
    assert (ticket.device.serial, ticket.device.year_made) == ("Z-1", 2015)


def test_the_device_is_put_right_and_the_story_says_so(
    desk: Client, ticket: Ticket, send: Post
) -> None:
    at = page_of(ticket)
    assert f'href="{at}"' in desk.get(ticket.get_absolute_url()).content.decode()
    answer = send(desk, at, **facts_of(ticket, serial=" N-9 ", year_made="2016"))
    assert answer["Location"] == ticket.get_absolute_url()
    ticket.device.refresh_from_db()
    assert (ticket.device.serial, ticket.device.year_made) == ("N-9", 2016)
    newest = queries.events_of(ticket)[0]
    assert newest.codes == {"facts": ["serial", "year_made"]}
    said = "Put right of the device: serial number, year made or bought"
    assert event_words.happened(newest) == said


def test_the_same_facts_again_are_no_event(ticket: Ticket, tomas: Person) -> None:
    before = Event.objects.count()
    assert intake.device_change(ticket=ticket, by=tomas, **facts_of(ticket)) is None
    assert Event.objects.count() == before


def test_a_year_can_be_taken_back(ticket: Ticket, tomas: Person) -> None:
    intake.device_change(ticket=ticket, by=tomas, version=1, year_made=2016)
    intake.device_change(ticket=ticket, by=tomas, version=2, year_made=None)
    ticket.device.refresh_from_db()
    assert ticket.device.year_made is None


def test_two_who_put_it_right_see_both(
    desk: Client, ticket: Ticket, send: Post, ines: Person
) -> None:
    facts = facts_of(ticket, year_made="2016")
    intake.device_change(ticket=ticket, by=ines, version=1, year_made=2012)
    answer = send(desk, page_of(ticket), **facts)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "2012" in page
    assert 'value="2016"' in page
    assert send(desk, page_of(ticket), key="2", **(facts | {"version": 2})).status_code
    ticket.device.refresh_from_db()
    assert ticket.device.year_made == 2016


def test_a_stale_save_of_another_is_refused(ticket: Ticket, ines: Person) -> None:
    intake.device_change(ticket=ticket, by=ines, version=1, year_made=2012)
    with pytest.raises(StaleEdit):
        intake.device_change(ticket=ticket, by=ines, version=1, year_made=2013)


def test_a_year_to_come_is_refused_on_its_page(
    desk: Client, ticket: Ticket, send: Post
) -> None:
    answer = send(desk, page_of(ticket), **facts_of(ticket, year_made="2999"))
    assert answer.status_code == 422
    assert answer.context["form"].errors.keys() == {"year_made"}


def test_after_the_handover_it_stays_as_it_went(
    desk: Client, ticket: Ticket, tomas: Person
) -> None:
    intake.outcome_record(ticket=ticket, by=tomas, kind="declined")
    for thing in ticket.things.all():
        intake.thing_return(thing=thing, by=tomas)
    intake.handover_do(ticket=ticket, by=tomas, given_to="Ada Pell")
    assert page_of(ticket) not in desk.get(ticket.get_absolute_url()).content.decode()
    with pytest.raises(Refused, match="closed"):
        intake.device_change(ticket=ticket, by=tomas, version=1, year_made=2012)
