"""The circuit finder in a real browser: at every size and theme, by tap and by key."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, Page, expect

from diagnostics.models import BoardMark
from tests.browser.conftest import (
    DESKTOP,
    PHONE,
    TABLET,
    UPRIGHT,
    Visit,
    faults_of,
    layout_faults_of,
)
from tests.browser.pages import Seen, pages_of

Picture = Callable[[Page, str], None]

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.one_database]

LOOKS = {
    "desktop-light": (DESKTOP, False),
    "tablet-light": (TABLET, False),
    "tablet-dark": (TABLET, True),
    "upright-dark": (UPRIGHT, True),
    "phone-light": (PHONE, False),
}
FINDER = {"circuits", "circuits-inductor", "circuits-landmark", "bench-where"}


def finder_pages() -> dict[str, Seen]:
    return {one.name: one for one in pages_of("ines") if one.name in FINDER}


@pytest.mark.one_database
@pytest.mark.parametrize("look", LOOKS)
def test_it_is_clean_at_every_size_and_theme(
    visit: Visit, picture: Picture, look: str
) -> None:
    size, is_dark = LOOKS[look]
    page = visit("ines", size=size, dark=is_dark)
    for name, seen in finder_pages().items():
        page.goto(seen.url)
        if seen.act:
            seen.act(page)
        picture(page, f"{name}-{look}")
        assert not faults_of(page), f"{name}: axe"
        assert not layout_faults_of(page), f"{name}: layout"


def marks_of(page: Page) -> Locator:
    return page.locator(".finder-over rect.core-thin")


def test_a_tap_and_a_key_each_set_a_mark_and_undo_takes_it_away(visit: Visit) -> None:
    page = visit("ines", size=TABLET)
    page.goto(finder_pages()["circuits-inductor"].url)
    before = marks_of(page).count()
    box = page.locator("[data-finder]").bounding_box()
    assert box
    page.mouse.click(box["x"] + box["width"] / 4, box["y"] + box["height"] * 3 / 4)
    expect(marks_of(page)).to_have_count(before + 1)
    tapped = BoardMark.objects.latest("id")
    assert [tapped.x, tapped.y] == pytest.approx([0.25, 0.75], abs=0.01)
    expect(page.locator("[data-finder]")).to_be_focused()
    for key in ("Shift+ArrowRight", "Shift+ArrowRight", "ArrowUp"):
        page.keyboard.press(key)
    expect(page.locator("[data-said]")).to_have_text("Cursor at C5")
    page.keyboard.press("Enter")
    expect(marks_of(page)).to_have_count(before + 2)
    keyed = BoardMark.objects.latest("id")
    assert keyed.x == pytest.approx(tapped.x + 0.1, abs=1e-4)
    assert keyed.y == pytest.approx(tapped.y - 0.01, abs=1e-4)
    page.get_by_role("button", name="Undo").click()
    expect(marks_of(page)).to_have_count(before + 1)


def test_a_group_is_confirmed_in_place(visit: Visit) -> None:
    page = visit("ines", size=TABLET)
    page.goto(finder_pages()["circuits"].url)
    page.get_by_role("link", name="C: Unclear").click()
    expect(page).to_have_url(re.compile("group="))
    chosen = page.locator(".finder-group.is-chosen")
    expect(chosen).to_contain_text("C: Unclear")
    chosen.locator("summary").click()
    chosen.get_by_role("button", name="Chipset core", exact=True).click()
    expect(page.locator(".finder-group.is-chosen")).to_contain_text("Confirmed by")
