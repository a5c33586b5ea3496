"""A name with a slip, typed into the box of every page: its hit, and Enter opens it."""

import re

import pytest
from playwright.sync_api import expect

from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people.models import Person
from tests.browser.conftest import TABLET, Visit

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.one_database]


def test_a_name_with_a_slip_is_found_on_its_shelf_and_opened_by_enter(
    visit: Visit,
) -> None:
    page = visit("ines", size=TABLET)
    ticket = Ticket.objects.filter(handover=None).latest("id")
    tomas = Person.objects.get(username="tomas")
    intake.thing_move(thing=ticket.things.earliest("tag"), by=tomas, place="C7")
    name = ticket.customer.name
    page.goto("/bench/")
    page.locator("#find").press_sequentially(name[:2] + name[3:], delay=20)
    hit = page.locator("#find-hits a").first
    for told in (ticket.number, name, "at C7"):
        expect(hit).to_contain_text(told)
    page.keyboard.press("ArrowDown")
    expect(hit).to_be_focused()
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(ticket.get_absolute_url()))
    page.locator("#find").press_sequentially(ticket.number)
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(ticket.get_absolute_url()))
