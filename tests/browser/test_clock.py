"""The clock at the bench by scans and taps, and a day confirmed within a minute."""

import time
from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from diagnostics import holding
from diagnostics.models import Board
from diagnostics.place import Place
from shop.billing.models import TimeEntry
from shop.desk.management.commands.demo import SCENARIO
from shop.desk.scenario import tell
from shop.intake import scans
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from tests.browser.conftest import TABLET, Visit
from tests.browser.scanner import scan

pytestmark = pytest.mark.one_database
MINUTE = 60


@pytest.fixture
def told_shop(transactional_db: None) -> Shop:
    """The short story; no suspects are looked at here."""
    return tell(SCENARIO, now=timezone.now())


def boards() -> list[Place]:
    """Two open tickets that have one board each, nobody's yet."""
    open_ones = Ticket.objects.filter(handover=None, outcome=None).order_by("-id")
    joined = [(t, list(t.ticket_boards.all())) for t in open_ones]
    places = [Place(t, of[0].board) for t, of in joined if len(of) == 1]
    return [p for p in places if holding.holder_of(p.board) is None][:2]


def test_a_scan_moves_the_clock_and_one_tap_moves_it_back(
    visit: Visit, told_shop: Shop
) -> None:
    one, other = boards()
    assert one.ticket is not None
    assert other.ticket is not None
    ines = Person.objects.get(username="ines")
    page = visit("ines", size=TABLET)
    page.goto(one.url())
    assert holding.holder_of(one.board) is None, "looking starts nothing"
    with page.expect_navigation():
        page.locator("#clock").get_by_role("button", name="Take it in hand").click()
    expect(page.locator("#clock")).to_contain_text("Your clock runs here since")
    taken_before = len(holding.boards_in_hand(ines))
    scan(page, scans.ticket_code(other.ticket.number))
    page.wait_for_url(f"**{other.url()}")
    clock = page.locator("#clock")
    expect(clock).to_contain_text(f"from {one.ticket.number} to {other.ticket.number}")
    undo = clock.get_by_role("button", name="Undo")
    box = undo.bounding_box()
    assert box is not None
    assert box["height"] >= 48
    with page.expect_navigation():
        undo.click()
    expect(page.locator("#clock")).to_contain_text(
        f"Your clock runs on {one.ticket.number}"
    )
    assert len(holding.boards_in_hand(ines)) == taken_before
    assert holding.holder_of(Board.objects.get(pk=one.board.pk)) == ines.pk


def test_the_told_day_is_confirmed_within_a_minute(
    visit: Visit, told_shop: Shop
) -> None:
    """From the bench list: open it, yesterday, five minutes more, confirm."""
    page = visit("ines", size=TABLET)
    page.goto("/bench/")
    before, began, taps = TimeEntry.objects.count(), time.monotonic(), 0
    for at in (
        page.get_by_role("link", name="Evening list"),
        page.locator(".day-waiting a"),
        page.get_by_role("button", name="5 minutes more").first,
        page.get_by_role("button", name="This was my day"),
    ):
        at.click()
        taps += 1
    expect(page.locator(".messages")).to_have_text("The day is confirmed.")
    assert taps == 4
    assert time.monotonic() - began < MINUTE
    recorded = TimeEntry.objects.order_by("-id")[: TimeEntry.objects.count() - before]
    told = {one.started_at.date() for one in recorded}
    assert told == {(timezone.now() - timedelta(days=1)).date()}
    page.reload()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Confirmed.")
    is_small(page)


def is_small(page: Page) -> None:
    """Every button of the list is at least 48 px high."""
    heights = page.evaluate(
        "[...document.querySelectorAll('.evening button, .evening .button')]"
        ".map((e) => e.getBoundingClientRect().height)"
    )
    assert all(height >= 48 for height in heights)
