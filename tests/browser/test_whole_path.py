"""One ticket from the counter to the handover, typed and tapped in a browser."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from shop.billing.models import Invoice
from shop.intake.models import Ticket
from tests.browser.conftest import DESKTOP, TABLET, Visit

Picture = Callable[[Page, str], None]

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_ticket_goes_from_the_counter_to_its_invoice(
    visit: Visit, picture: Picture
) -> None:
    counter = visit("tomas", size=DESKTOP)
    number = take_in(counter)
    bench = visit("ines", size=TABLET)
    name_the_board(bench, number)
    read_until_main_is_bad(bench, picture)
    confirm_the_finding(bench)
    quote_and_yes(counter, number)
    work_and_part(visit("marit"), number)
    end_and_bill(counter, number)
    ticket = Ticket.objects.get(number=number)
    invoice = Invoice.objects.get(ticket=ticket)
    assert [line.code for line in invoice.lines.all()]
    assert any(row["point"] == "k06/main" for row in invoice.evidence)
    pay_and_hand_over(counter, number)
    assert Ticket.objects.get(pk=ticket.pk).handover.given_to == "Rowan Ash"


def take_in(page: Page) -> str:
    page.goto("/counter/")
    page.get_by_role("link", name="Take one in").click()
    page.get_by_label("Name", exact=True).fill("Rowan Ash")
    page.get_by_label("Phone", exact=True).fill("+353 20 915 0199")
    page.get_by_label("Model", exact=True).fill("Heron-14")
    page.get_by_label("In the customer’s words").fill("Dead since yesterday.")
    page.get_by_role("button", name="Only keep").click()
    page.wait_for_url(re.compile(r"/tickets/\d+/"))
    return page.url.rstrip("/").rsplit("/", 1)[1]


def name_the_board(page: Page, number: str) -> None:
    page.goto(f"/bench/{number}/board/")
    page.get_by_label("Board number").fill("HN14-MB")
    page.get_by_role("button", name="To the bench").click()
    page.wait_for_url(re.compile(rf"/bench/{number}/\d+/"))


def read(page: Page, point: str, typed: str) -> None:
    base = re.sub(r"\?.*", "", page.url)
    page.goto(f"{base}?check={point.split('/', maxsplit=1)[0]}&point={point}")
    page.locator("#id_typed").fill(typed)
    page.keyboard.press("Enter")
    expect(page.locator("#verdict")).to_be_visible()


def read_until_main_is_bad(page: Page, picture: Picture) -> None:
    read(page, "k04/leads", "0.2")
    for point in ("k03/main", "k03/mem.q", "k03/cpu.core"):
        read(page, point, "0.01")
    read(page, "k06/main", "0,4")
    expect(page.locator("#verdict")).to_contain_text("Bad")
    picture(page, "bench-verdict")


def confirm_the_finding(page: Page) -> None:
    page.get_by_text("Confirm the finding").click()
    form = page.locator("form[action$='/finding/']")
    form.get_by_label("Part and failure").select_option("p.cmain:short")
    form.get_by_role("button").click()
    page.wait_for_load_state()


def quote_and_yes(page: Page, number: str) -> None:
    page.goto(f"/tickets/{number}/quote/")
    page.get_by_role("button", name="Send quote").click()
    page.goto(f"/tickets/{number}/quotes/1/")
    page.get_by_text("Yes, go ahead").click()
    page.get_by_label("Who said so").fill("Rowan Ash")
    page.get_by_label("How", exact=True).select_option("phone")
    page.get_by_role("button", name="Keep answer").click()
    page.wait_for_url(ticket_page(number))


def work_and_part(page: Page, number: str) -> None:
    page.goto(f"/tickets/{number}/time/")
    page.get_by_label("Kind of work").select_option("repair")
    page.get_by_label("Minutes").fill("40")
    page.get_by_role("button", name="Record time").click()
    page.wait_for_url(ticket_page(number))
    page.goto(f"/tickets/{number}/part/")
    page.get_by_label("From the shelf").select_option(index=1)
    page.locator("main form button.main").click()
    page.wait_for_url(ticket_page(number))


def end_and_bill(page: Page, number: str) -> None:
    page.goto(f"/tickets/{number}/outcome/")
    page.locator("label", has_text="Fixed").click()
    page.get_by_role("button", name="Keep").click()
    expect(page.get_by_text("It can’t be called fixed yet.").first).to_be_visible()
    page.locator("label", has_text="Improved, not proven").click()
    page.get_by_role("button", name="Keep").click()
    page.wait_for_url(ticket_page(number))
    page.get_by_role("button", name="Issue invoice").click()
    issued = page.get_by_text(re.compile(r"Invoice .* is issued"))
    unconfirmed = page.get_by_role("button", name="Confirm and issue the invoice")
    expect(issued.or_(unconfirmed)).to_be_visible()
    if unconfirmed.count():
        unconfirmed.click()
    expect(issued).to_be_visible()


def pay_and_hand_over(page: Page, number: str) -> None:
    page.goto(f"/tickets/{number}/payment/")
    page.get_by_label("How", exact=True).select_option("card")
    page.locator("main form button.main").click()
    page.wait_for_url(ticket_page(number))
    page.get_by_role("link", name="Hand over").click()
    for box in page.locator(".count-back input").all():
        box.check()
    page.get_by_role("button", name="Hand over").click()
    page.wait_for_url(ticket_page(number))


def ticket_page(number: str) -> re.Pattern[str]:
    return re.compile(rf"/tickets/{number}/$")
