"""Passkeys, the bench tablet's names and the word before a session ends, in Chromium.

Passkeys are made and asked for by Chromium's own virtual authenticator (the WebAuthn
domain of the DevTools protocol), so the signatures are not ours.
"""

from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from shop.people import badges, pins, stations
from shop.people.models import LateSwitch, Person, Shop
from tests.browser.conftest import OnTheNetwork, faults_of, layout_faults_of
from tests.browser.scanner import scan
from tests.factories import PASSWORD

pytestmark = pytest.mark.one_database

KEY_IN_THE_DEVICE = {
    "protocol": "ctap2",
    "transport": "internal",
    "hasResidentKey": True,
    "hasUserVerification": True,
    "isUserVerified": True,
    "automaticPresenceSimulation": True,
}
PIN = "7391"


@pytest.fixture
def context(browser: Browser, live_server: OnTheNetwork, transactional_db: None) -> Any:
    context = browser.new_context(
        base_url=live_server.url, viewport={"width": 1180, "height": 820}
    )
    yield context
    context.close()


def looks_well(page: Page) -> None:
    """Nothing for axe, no sideways scroll, large targets; in both themes."""
    for theme in ("light", "dark"):
        page.emulate_media(color_scheme="dark" if theme == "dark" else "light")
        assert faults_of(page) + layout_faults_of(page) == [], (page.url, theme)


def sign_in(page: Page, name: str) -> None:
    page.goto("/sign-in/")
    page.get_by_label("Sign-in name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()


def test_a_passkey_is_made_and_opens_by_itself_as_second_step_and_again(
    context: BrowserContext, marit: Person, settings: Any
) -> None:
    settings.SECOND_FACTOR = "required"
    page = context.new_page()
    devtools = context.new_cdp_session(page)
    devtools.send("WebAuthn.enable")
    devtools.send("WebAuthn.addVirtualAuthenticator", {"options": KEY_IN_THE_DEVICE})
    sign_in(page, "marit")
    page.get_by_role("link", name="Add a passkey").click()
    page.get_by_role("button", name="Make the passkey").click()
    page.get_by_role("button", name="Show them").click()
    expect(page.locator(".spare-codes li")).to_have_count(10)
    looks_well(page)
    page.get_by_role("link", name="I have them").click()
    page.get_by_role("button", name="Sign out").click()
    page.get_by_role("button", name="Use a passkey").click()
    page.wait_for_url("**/office/")
    page.get_by_role("button", name="Sign out").click()
    sign_in(page, "marit")
    page.wait_for_url("**/sign-in/code/")
    looks_well(page)
    page.get_by_role("button", name="Use a passkey").click()
    page.wait_for_url("**/office/")
    page.goto("/sign-in/again/passkey/?next=/people/")
    looks_well(page)
    page.get_by_role("button", name="Use a passkey").click()
    page.wait_for_url("**/people/")


@pytest.fixture
def tablet(
    context: BrowserContext,
    hollin_lane: Shop,
    marit: Person,
    ines: Person,
    sami: Person,
) -> Page:
    _station, token = stations.station_enrol(
        shop=hollin_lane, by=marit, name="By the window", is_bench=True
    )
    pins.pin_set(person=ines, shop=hollin_lane, digits=PIN)
    page = context.new_page()
    page.goto("/sign-in/")
    host = page.url.removesuffix("/sign-in/")
    context.add_cookies([{"name": "coldrail-station", "value": token, "url": host}])
    page.goto("/sign-in/switch/")
    return page


def test_the_person_is_switched_by_pin_and_by_badge(
    tablet: Page, ines: Person, sami: Person, hollin_lane: Shop, marit: Person
) -> None:
    """Six taps, or one scan; the name stands large at the bench then."""
    tablet.get_by_text("Ines").click()
    for digit in PIN:
        tablet.get_by_role("button", name=digit, exact=True).click()
    tablet.get_by_role("button", name="OK").click()
    name = tablet.get_by_role("link", name=ines.name)
    name.wait_for()
    large = name.evaluate("(e) => parseFloat(getComputedStyle(e).fontSize)")
    assert large >= 24
    _badge, code = badges.badge_make(person=sami, shop=hollin_lane, by=marit)
    tablet.goto("/sign-in/again/?next=/me/pin/")
    looks_well(tablet)
    tablet.get_by_role("button", name="Switch").click()
    tablet.get_by_role("heading", name="Who is at the bench?").wait_for()
    tablet.wait_for_load_state("networkidle")  # its script listens by then
    scan(tablet, code)
    tablet.get_by_role("link", name=sami.name).wait_for()


def test_a_badge_opens_where_nobody_is_signed_in_and_the_page_is_busy(
    tablet: Page, sami: Person, hollin_lane: Shop, marit: Person
) -> None:
    """Keys count by when they were pressed, however late the page comes to them."""
    _badge, code = badges.badge_make(person=sami, shop=hollin_lane, by=marit)
    tablet.wait_for_load_state("networkidle")
    tablet.evaluate(BUSY)
    scan(tablet, code)
    tablet.get_by_role("link", name=sami.name).wait_for()


BUSY = """() => addEventListener("keydown", () => {
  for (const until = performance.now() + 120; performance.now() < until;);
}, true)"""


def test_a_house_that_was_only_slow_is_asked_again(tablet: Page, ines: Person) -> None:
    """The browser never was off line, and says nothing of coming back."""
    tablet.evaluate("AbortSignal.timeout = () => AbortSignal.abort()")
    tablet.get_by_text("Ines").click()
    tablet.locator("#pin").fill(PIN)
    tablet.get_by_role("button", name="OK").click()
    tablet.wait_for_url("**/bench/")
    assert LateSwitch.objects.get().is_confirmed


def test_a_badge_scanned_at_the_bench_changes_who_is_there(
    tablet: Page, ines: Person, sami: Person, hollin_lane: Shop, marit: Person
) -> None:
    """From any page of the tablet, by the scanner's own script."""
    _badge, code = badges.badge_make(person=sami, shop=hollin_lane, by=marit)
    tablet.get_by_text("Ines").click()
    tablet.locator("#pin").fill(PIN)
    tablet.get_by_role("button", name="OK").click()
    tablet.locator(".bench-person", has_text=ines.name).wait_for()
    tablet.wait_for_load_state("networkidle")
    scan(tablet, code)
    tablet.locator(".bench-person", has_text=sami.name).wait_for()


def test_a_badge_scanned_into_the_pin_field_leaves_no_letters_there(
    tablet: Page, ines: Person
) -> None:
    tablet.get_by_text("Ines").click()
    tablet.locator("#pin").focus()
    tablet.keyboard.type("CR-B-" + "B" * 10)
    assert tablet.locator("#pin").input_value() == ""


def test_the_page_warns_a_minute_before_and_keeps_what_was_typed(
    context: BrowserContext, marit: Person, settings: Any
) -> None:
    """[ASVS 7.3, WCAG 2.2.1] The tap is all it takes."""
    settings.IDLE_SECONDS, settings.WARN_SECONDS = 63, 60
    page = context.new_page()
    sign_in(page, "marit")
    page.goto("/people/new/")
    page.get_by_label("Name", exact=True).fill("Ilan Marsh")
    settings.IDLE_SECONDS = 66
    page.get_by_role("button", name="I am here").wait_for(timeout=20_000)
    looks_well(page)
    page.get_by_role("button", name="I am here").click()
    expect(page.get_by_role("button", name="I am here")).to_be_hidden()
    assert page.get_by_label("Name", exact=True).input_value() == "Ilan Marsh"
    settings.IDLE_SECONDS = 1
    page.wait_for_url("**/sign-in/?next=*", timeout=30_000)


def test_without_the_network_a_name_and_pin_are_kept_sealed_and_checked_later(
    tablet: Page, ines: Person
) -> None:
    """What is kept on the tablet has no name and no PIN in it."""
    tablet.context.set_offline(True)
    tablet.get_by_text("Ines").click()
    tablet.locator("#pin").fill(PIN)
    tablet.get_by_role("button", name="OK").click()
    tablet.get_by_text("The network is away.").wait_for()
    looks_well(tablet)
    kept = tablet.evaluate("atTablet.now()")
    assert (kept["person"], kept["confirmed"]) == (ines.pk, None)
    assert set(kept) == {"person", "at", "key", "sealed", "confirmed"}
    assert PIN not in str(kept["sealed"])
    tablet.context.set_offline(False)
    tablet.wait_for_url("**/bench/")
    late = LateSwitch.objects.get()
    assert (late.key, late.person, late.is_confirmed) == (kept["key"], ines, True)
    assert tablet.evaluate("atTablet.now()")["confirmed"] is True


KEPT = """async () => {
  for (let tries = 0; tries < 200; tries += 1) {
    const kept = await (await caches.open("tablet")).keys();
    if (kept.some((one) => one.url.endsWith("/sign-in/switch/")))
      return kept.map((one) => one.url);
    await new Promise((done) => setTimeout(done, 50));
  }
  return [];
}"""


def test_the_names_are_there_while_the_network_is_away(
    tablet: Page, ines: Person
) -> None:
    """Kept are that page and what it is drawn with, and nothing of anybody's work."""
    tablet.evaluate("navigator.serviceWorker.ready.then(() => true)")
    paths = {urlsplit(url).path for url in tablet.evaluate(KEPT)}
    assert {p for p in paths if not p.startswith("/static/")} == {"/sign-in/switch/"}
    tablet.reload()
    tablet.context.set_offline(True)
    tablet.goto("/sign-in/switch/")
    looks_well(tablet)
    tablet.get_by_text("Ines").click()
    tablet.locator("#pin").fill(PIN)
    tablet.get_by_role("button", name="OK").click()
    tablet.get_by_text("The network is away.").wait_for()
    tablet.context.set_offline(False)
    tablet.wait_for_url("**/bench/")
    assert LateSwitch.objects.get().person == ines


def test_a_wrong_pin_shows_when_the_network_is_back(tablet: Page, ines: Person) -> None:
    tablet.context.set_offline(True)
    tablet.get_by_text("Ines").click()
    tablet.locator("#pin").fill("4826")
    tablet.get_by_role("button", name="OK").click()
    tablet.get_by_text("The network is away.").wait_for()
    tablet.context.set_offline(False)
    tablet.get_by_text("is not confirmed").wait_for()
    assert not LateSwitch.objects.get().is_confirmed
    assert tablet.evaluate("atTablet.now()")["confirmed"] is False
