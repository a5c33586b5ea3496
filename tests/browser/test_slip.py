"""The customer's page on a phone without script: looked at, accepted, seen by us."""

import pytest
from playwright.sync_api import Browser, expect

from shop.billing.models import QuoteAnswer
from shop.intake.models import Ticket
from tests.browser.conftest import PHONE, OnTheNetwork, Visit
from tests.browser.pages import slip_path

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.one_database]


@pytest.fixture
def quoted(told_shop: object) -> Ticket:
    return Ticket.objects.filter(quotes__answer=None, handover=None).earliest("id")


def test_a_phone_without_script_says_yes_in_two_taps(
    browser: Browser, live_server: OnTheNetwork, quoted: Ticket, visit: Visit
) -> None:
    context = browser.new_context(
        base_url=live_server.url,
        viewport={"width": PHONE["width"], "height": PHONE["height"]},
        java_script_enabled=False,
    )
    phone = context.new_page()
    phone.goto(slip_path(quoted))
    expect(phone.get_by_role("heading", level=1)).to_have_text("It is your turn.")
    phone.get_by_role("button", name="Accept").click()
    assert not QuoteAnswer.objects.filter(quote__ticket=quoted).exists()
    phone.get_by_role("button", name="Yes, repair it").click()
    phone.get_by_text("You said yes").wait_for()
    assert phone.url == live_server.url + slip_path(quoted)
    assert context.cookies() == []
    kept = QuoteAnswer.objects.get(quote__ticket=quoted)
    assert (kept.is_yes, kept.channel) == (True, "slip_link")
    context.close()
    bench = visit("ines")
    bench.goto(quoted.get_absolute_url())
    expect(bench.locator(".happened")).to_contain_text("by slip link")


def test_a_page_that_is_looked_at_says_so_once(quoted: Ticket, visit: Visit) -> None:
    phone = visit("", size=PHONE)
    for _time in range(2):
        with phone.expect_response(lambda answer: answer.request.method == "POST"):
            phone.goto(slip_path(quoted))
    house = visit("tomas")
    house.goto(quoted.get_absolute_url())
    expect(house.locator(".happened").get_by_text("link was opened")).to_have_count(1)
    house.locator(".slip-link").get_by_role("link", name="As the customer").click()
    expect(house.get_by_role("button", name="Accept")).to_be_disabled()
