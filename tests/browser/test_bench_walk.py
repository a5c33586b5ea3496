"""The bench opens, a new board model is named, and the walk is walked by taps."""

import re
from collections.abc import Callable
from time import monotonic
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from diagnostics.models import BoardModelRevision, ConditionSet, PassedBy, Reading
from shop.intake.models import Ticket
from shop.people.models import Shop
from tests.browser.conftest import TABLET, Visit

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.one_database]

Picture = Callable[[Page, str], None]


class Hand:
    """Taps and types, and counts both."""

    def __init__(self, page: Page) -> None:
        self.page, self.taps, self.keys = page, 0, 0

    def tap(self, name: str) -> None:
        self.page.get_by_role("button", name=name, exact=True).first.click()
        self.taps += 1

    def tap_text(self, text: str) -> None:
        self.page.get_by_text(text, exact=True).first.click()
        self.taps += 1

    def type(self, text: str) -> None:
        expect(self.page.locator(":focus")).to_be_visible()
        self.page.keyboard.type(text)
        self.keys += len(text)


@pytest.fixture(autouse=True)
def without_predictions(told_shop: Shop, settings: Any) -> None:
    """A new board model's predictions are made aside, as they are in a shop."""
    settings.CLOUDS = "never"


def nameless() -> Ticket:
    """A ticket of the demo whose board nobody has named yet."""
    return Ticket.objects.filter(ticket_boards=None, handover=None).earliest("id")


def test_a_new_board_model_is_usable_in_a_minute(
    visit: Visit, picture: Picture
) -> None:
    hand = Hand(visit("ines", size=TABLET))
    hand.page.goto("/bench/")
    assert hand.page.locator(".bench-list .rows > li").count() <= 6
    hand.page.goto(f"/bench/{nameless().number}/board/")
    start = monotonic()
    hand.type("ZQ15-MB")
    hand.tap_text("Laptop, round adapter plug")
    hand.tap_text("No graphics chip")
    hand.tap_text("Chipset in the CPU")
    hand.tap_text("DDR5")
    picture(hand.page, "board-join")
    hand.tap("To the bench")
    expect(hand.page.locator("#card h1")).to_be_visible()
    seconds = monotonic() - start
    assert (hand.taps, hand.keys) == (5, 7)
    assert seconds < 60
    patched = BoardModelRevision.objects.filter(board_model__number="ZQ15-MB")
    assert patched.count() == 3


def test_the_walk_asks_a_condition_once_and_keeps_what_is_passed_by(
    visit: Visit, picture: Picture
) -> None:
    hand = Hand(visit("ines", size=TABLET))
    page = hand.page
    page.goto(f"/bench/{nameless().number}/board/")
    hand.type("ZQ15-MB")
    hand.tap_text("Laptop, round adapter plug")
    hand.tap_text("No graphics chip")
    hand.tap("To the bench")
    expect(page.locator("#card h1")).to_be_visible()
    bench = re.sub(r"\?.*", "", page.url)

    page.get_by_text("Pass it by").click()
    hand.tap("later")
    expect(page.locator(".passed-by").first).to_contain_text("later")
    assert PassedBy.objects.get().why == "later"

    page.goto(f"{bench}?way=walk&check=k04")
    for point, typed in COLD:
        read(page, bench, point, typed)
    expect(page.locator(".next .next-label")).to_contain_text("Next in the walk")

    page.goto(f"{bench}?check=k24")
    expect(page.locator("#id_typed")).to_be_hidden()
    expect(page.locator("#stand_supply_volts")).to_have_value("19 V")
    expect(page.locator("#stand_supply_limit_amps")).to_have_value("500 mA")
    picture(page, "bench-condition")
    page.keyboard.press("Enter")
    expect(page.locator("#id_typed")).to_be_visible()
    read(page, bench, "k24/supply", "14 mA")
    read(page, bench, "k27/main", "18.9")
    assert ConditionSet.objects.count() == 1
    ours = Reading.objects.filter(board__board_model__number="ZQ15-MB")
    carried = ours.filter(check_id__in=["k24", "k27"])
    figures = carried.values_list("supply_volts", "supply_limit_amps")
    assert set(figures) == {(19.0, 0.5)}

    page.goto(f"{bench}?check=k44")
    expect(page.locator("#stand-title")).to_contain_text("within 5 s of the button")
    expect(page.locator(".stand .note").first).to_contain_text(
        "500\N{NO-BREAK SPACE}mA"
    )


COLD = [
    ("k04/leads", "0.2"),
    *((f"k03/{rail}", "0.01") for rail in ("main", "mem.q", "cpu.core")),
    ("k05/in.jack", "48k"),
    ("k06/main", "62k"),
    ("k06/main.in", "62k"),
    ("k11/sb.33", "410"),
    ("k11/sb.5", "2.3k"),
    ("k17/cpu.core", "4.0"),
]


def read(page: Page, bench: str, point: str, typed: str) -> None:
    page.goto(f"{bench}?check={point.split('/', maxsplit=1)[0]}&point={point}")
    page.locator("#id_typed").fill(typed)
    page.keyboard.press("Enter")
    expect(page.locator("#verdict")).to_be_visible()
