"""The set-up in a real browser: folded and unfolded, in every size, and done."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from shop.opening.first_key import first_link
from shop.people.models import Shop
from tests.browser.conftest import (
    DESKTOP,
    PHONE,
    TABLET,
    UPRIGHT,
    OnTheNetwork,
    faults_of,
    layout_faults_of,
)

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.one_database]
OPEN = re.compile("Open the shop|Werkstatt öffnen")
LOOKS = [(DESKTOP, "light"), (TABLET, "dark"), (UPRIGHT, "light"), (PHONE, "light")]


@pytest.fixture
def at_the_door(
    browser: Browser,
    live_server: OnTheNetwork,
    settings: Any,
    tmp_path: Path,
    request: pytest.FixtureRequest,
) -> Iterator[Page]:
    """A browser that has opened the first link of an empty database."""
    settings.DATA_DIR = tmp_path
    spoken = getattr(request, "param", "en-AT")
    context = browser.new_context(base_url=live_server.url, locale=spoken)
    page = context.new_page()
    page.goto("/counter/")
    page.locator("#no-key-head").wait_for()
    assert faults_of(page) == []
    page.goto(first_link(live_server.url))
    yield page
    context.close()


@pytest.mark.parametrize("at_the_door", ["en-AT", "de-AT"], indirect=True)
def test_every_question_fits_and_is_accessible(at_the_door: Page) -> None:
    page = at_the_door
    page.get_by_role("button", name=OPEN).first.click()
    page.get_by_role("alert").wait_for()
    page.locator(".questions details").evaluate_all(
        "all => all.forEach((one) => { one.open = true })"
    )
    for size, theme in LOOKS:
        page.set_viewport_size({"width": size["width"], "height": size["height"]})
        page.emulate_media(color_scheme="dark" if theme == "dark" else "light")
        assert layout_faults_of(page) == []
        assert faults_of(page) == []


def test_a_country_fills_in_and_a_closed_tab_keeps_what_was_typed(
    at_the_door: Page,
) -> None:
    page = at_the_door
    page.get_by_label("Name of the shop").fill("Weir Street Repairs")
    page.locator("#country summary").click()
    with page.expect_response(lambda r: r.request.method == "POST" and r.status == 200):
        page.get_by_label("Country").select_option("US")
    page.locator("[name=currency][value=USD]").wait_for()
    page.get_by_label("Your name").fill("Marit Hollin")
    with page.expect_response(lambda r: r.status == 204):
        page.get_by_label("Your name").press("Tab")
    again = page.context.new_page()
    page.close()
    again.goto("/opening/")
    assert again.get_by_label("Name of the shop").input_value() == "Weir Street Repairs"
    assert again.get_by_label("Your name", exact=True).input_value() == "Marit Hollin"
    again.get_by_label("Your password").fill("lamp under bridge 7")
    again.get_by_role("button", name="Open the shop").first.click()
    again.get_by_role("heading", name="What is still open").wait_for()
    assert Shop.objects.get().currency == "USD"
