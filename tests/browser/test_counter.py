"""The counter by hand: every key and tap is counted, free text apart."""

import sys
import time
from collections.abc import Callable
from contextlib import contextmanager
from datetime import timedelta

import pytest
from django.utils import timezone
from django.utils.formats import date_format
from playwright.sync_api import Locator, Page, expect

from diagnostics import services as bench
from shop.intake import services as intake
from shop.intake.counter_models import IntakeDraft
from shop.intake.models import Customer, Ticket
from shop.intake.signing import signature_of
from shop.people.models import Person, Shop
from tests.browser.conftest import TABLET
from tests.samples import board_of

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.one_database]
Visit = Callable[..., Page]
Picture = Callable[[Page, str], None]
KNOWN, NEW = 25, 45
QUICK_SECONDS = 30
PRINTED = "async (url) => (await (await fetch(url)).text()).slice(0, 5)"


class Hand:
    """A person at the counter; what is written in their own words is not counted."""

    def __init__(self, page: Page) -> None:
        self.page, self.count = page, 0

    def tap(self, what: str | Locator) -> None:
        self.count += 1
        found = what if isinstance(what, Locator) else self.page.locator(what)
        found.click()

    def choose(self, name: str, answer: str) -> None:
        self.tap(f"label:has([name={name}][value={answer}])")

    def keys(self, *keys: str) -> None:
        for key in keys:
            self.count += 1
            self.page.keyboard.press(key, delay=5)
            self.page.wait_for_timeout(60)  # no scanner types so slowly

    def write(self, text: str) -> None:
        self.page.locator(":focus").fill(text)

    def sign(self) -> None:
        self.count += 1
        box = self.page.locator(".sign svg")
        box.scroll_into_view_if_needed()
        at = box.bounding_box()
        assert at is not None
        mouse, y = self.page.mouse, at["y"] + at["height"] / 2
        mouse.move(at["x"] + 40, y)
        mouse.down()
        for step in range(1, 9):
            mouse.move(at["x"] + 40 + 20 * step, y + (-18 if step % 2 else 18))
        mouse.up()

    def looks_and_agrees(self) -> None:
        """First look, condition, accessories, what was agreed, the signature."""
        for name in ("liquid", "dropped", "hot_or_swollen", "opened_before"):
            self.choose(name, "no")
        self.choose("marks", "no_marks")
        for thing in ("adapter", "lead"):
            self.choose("things", thing)
        self.choose("fee_agreed", "yes")
        for purpose in ("open_files", "backup", "erase"):
            self.choose(purpose, "no")
        for allowed in ("boot_test", "without_passcode"):
            self.choose(allowed, "yes")
        self.sign()

    def take_in(self) -> Ticket:
        self.tap(self.page.get_by_role("button", name="Only keep"))
        self.page.wait_for_url("**/tickets/**")
        return Ticket.objects.latest("id")


@contextmanager
def closed_in_the_middle(page: Page):  # type: ignore[no-untyped-def]
    """The same browser with a new tab, once the page said that it kept a draft."""
    expect(page.locator("#draft-state")).to_contain_text("Kept as a draft")
    page.close()
    fresh = page.context.new_page()
    fresh.goto("/counter/new/")
    yield fresh


def test_intakes_are_counted_and_a_closed_tab_loses_nothing(
    visit: Visit, picture: Picture, told_shop: Shop
) -> None:
    page = visit("tomas")
    known = Customer.objects.get(shop=told_shop, name="Ada Pell")
    page.goto("/counter/new/")
    hand = Hand(page)
    hand.tap("#id_name")
    hand.keys("a", "d", "a", "Space", "p", "l")  # a letter went missing
    page.locator(".offers a").first.wait_for()
    hand.keys("ArrowDown", "Enter")
    expect(page.locator("#id_told")).to_be_focused()
    expect(page.locator(".their-devices [aria-current]")).to_be_visible()
    hand.write("The light is on and nothing happens.")
    hand.looks_and_agrees()
    picture(page, "intake-known")
    ticket = hand.take_in()
    assert ticket.customer == known
    assert ticket.device.serial
    assert signature_of(ticket) is not None
    assert hand.count <= KNOWN, hand.count
    known_count = hand.count

    page.goto("/counter/new/")
    hand = Hand(page)
    hand.tap("#id_name")
    hand.write("Nora Quill")
    hand.keys("Tab")
    hand.write("call the porter")
    hand.tap("#id_model")
    hand.write("Heron-14")
    hand.keys("Tab")
    hand.write("H-77")
    hand.choose("faults", "no_charge")
    expect(page.locator("#offers")).to_contain_text("Kept as typed")
    hand.tap(page.get_by_role("button", name="Parcel", exact=True))
    expect(page.locator("#id_model")).to_have_value("Heron-14")
    hand.tap(page.get_by_role("button", name="At the counter"))
    page.locator("#id_told").press_sequentially("Since Friday", delay=60)
    with closed_in_the_middle(page) as fresh:
        hand.page = fresh
        hand.tap(fresh.get_by_role("link", name="Go on"))
    expect(fresh.locator("#id_serial")).to_have_value("H-77")
    expect(fresh.locator("#id_told")).to_have_value("Since Friday")
    hand.looks_and_agrees()
    new = hand.take_in()
    assert new.device.serial == "H-77"
    assert hand.count <= NEW, hand.count
    assert not IntakeDraft.objects.exclude(sealed="").exists()
    said = f"known customer: {known_count}, new one: {hand.count} keys and taps\n"
    sys.stdout.write(said)


def test_a_quick_intake_is_asked_on_at_the_bench(
    visit: Visit, picture: Picture, told_shop: Shop
) -> None:
    """Quick, by the program's own time; the bench asks above the check in hand."""
    page = visit("tomas")
    began = time.monotonic()
    page.goto("/counter/")
    page.get_by_role("link", name="Take one in").click()
    page.get_by_role("button", name="Quick", exact=True).click()
    page.get_by_label("Name", exact=True).fill("Rhea Vane")
    page.get_by_label("Phone").fill("+353 20 915 0199")
    page.get_by_label("Model").fill("Plover-15")
    hand = Hand(page)
    hand.choose("faults", "dead")
    hand.choose("fee_agreed", "yes")
    hand.sign()
    ticket = hand.take_in()
    slip = page.evaluate(PRINTED, f"/tickets/{ticket.number}/job-slip.pdf")
    seconds = time.monotonic() - began
    assert slip == "%PDF-"
    sys.stdout.write(f"quick intake: {seconds:.1f} s of program time\n")
    assert seconds <= QUICK_SECONDS

    ines = Person.objects.get(username="ines")
    board = board_of(ticket, ines)
    bench.condition_set(board=board, ticket=ticket, by=ines, check_id="k03")
    at_the_bench = visit("ines", size=TABLET)
    at_the_bench.goto(f"/bench/{ticket.number}/{board.pk}/")
    asked = at_the_bench.locator("[data-ask]")
    expect(asked).to_contain_text("Hot, smelling or swollen?")
    picture(at_the_bench, "bench-asks")
    asked.get_by_role("button", name="No", exact=True).click()
    expect(asked).to_contain_text("Liquid?")
    asked.get_by_role("button", name="Unsure").click()
    expect(asked).to_contain_text("Dropped?")
    ticket.refresh_from_db()
    assert (ticket.hot_or_swollen, ticket.liquid) == ("no", "unsure")
    expect(at_the_bench.locator(".entry-foot, .pad").first).to_be_visible()

    # The day list at the counter is drawn anew by itself, the focus stays.
    page.goto("/counter/")
    link = page.locator(f"#row-{ticket.number}")
    row = page.locator("tr").filter(has=link)
    expect(row).to_contain_text(f"{ines.name} has it")
    link.focus()
    day = timezone.localdate() + timedelta(days=3)
    intake.customer_told(ticket=ticket, by=ines, channel="phone", next_contact=day)
    expect(row).to_contain_text(f"next {date_format(day, 'D j M')}", timeout=15_000)
    expect(link).to_be_focused()
