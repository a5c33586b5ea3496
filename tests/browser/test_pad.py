"""The bench's number pad in a real browser: what it understands, and how it looks."""

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from diagnostics.engine import quantities
from diagnostics.engine.errors import TypedValueError
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.units import PHYSICAL
from diagnostics.models import Board
from tests.browser.conftest import (
    PHONE,
    TABLET,
    UPRIGHT,
    Visit,
    faults_of,
    layout_faults_of,
)
from tests.browser.pad import board_url

Picture = Callable[[Page, str], None]

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.one_database]

HOSTILE = Path(__file__).parents[1] / "engine" / "hostile.toml"
# What people and meters type, by the units that a check may have.
USUAL = [
    *("0", "0.41", "0,41", "410", "-0.35", "\u22120.35", "+5", ".5", ",5", "3.", "0.0"),
    *("12m", "12 m", "12mV", "12 mV", "4k7", "4R7", "R47", "3V3", "4.7k", "4.7 kΩ"),
    *("47 Ω", "2M2", "2.2 MΩ", "100R", "0R22", "10u", "10 µ", "10 µA", "5n", "5p"),
    *("1.234", "1,234", "1.234 k", "1,234k", "1234", "12,345", "12.345", "999.999"),
    *("0.123", "0,123", "OL", "ol", "0L", "open", "1e-3", "1e3", "1 234", "5 A"),
    *("5 V", "5 ohm", "40 C", "40 K", "50 %", "50Hz", "32.768 kHz", "32768", "5 mHz"),
    *("1000.1", "1001", "-1001", "201 A", "1e13", "-5", "k", "m", "5kk", "5 km", "5G"),
    *("00.5", "007", "1.50", "1.5.0", "5 v", "5 volts", "5 Volt", "2 amps", "9 k"),
]
UNITS = ("V", "ohm", "A", "Hz", "K", "s", "%", "1")


def hostile_texts() -> list[str]:
    table = tomllib.loads(HOSTILE.read_text())
    kinds = [
        texts
        for code, group in table.items()
        if code != "read"
        for texts in group.values()
    ]
    return [text for texts in kinds for text in texts] + [
        text for text, _value in table["read"]["values"]
    ]


def of_server(text: str, unit: str) -> float | str | None:
    """The value, "ol", or ``None`` where the server refuses or says another word."""
    try:
        typed = quantities.parse(text, unit)
    except TypedValueError:
        return None
    return "ol" if typed.outcome is Outcome.OVER_LIMIT else typed.value


def test_the_pad_understands_what_the_server_does_or_leaves_it_to_it(
    visit: Visit, board: Board
) -> None:
    page = visit("ines", size=TABLET)
    page.goto(board_url(board, check="k03", point="k03/main"))
    texts = [*USUAL, *hostile_texts()]
    asked = [[t, u, *PHYSICAL[u]] for t in texts for u in UNITS]
    told: list[Any] = page.evaluate(
        "(all) => all.map((one) => pad.understood(...one))"
        ".map((one) => one && (one.outcome ?? one.value))",
        asked,
    )
    wrong, understood = [], 0
    for (text, unit, *_range), heard in zip(asked, told, strict=True):
        if heard is None:
            continue
        understood += 1
        assert isinstance(text, str)
        assert isinstance(unit, str)
        if heard != of_server(text, unit):
            wrong.append((text, unit, heard, of_server(text, unit)))
    assert not wrong
    assert understood > 150


def test_what_hands_type_at_the_bench_is_understood_at_once(
    visit: Visit, board: Board
) -> None:
    page = visit("ines", size=TABLET)
    page.goto(board_url(board, check="k03", point="k03/main"))
    for text, unit in (("0.41", "V"), ("0,41", "V"), ("-12m", "V"), ("4k7", "ohm")):
        low, high = PHYSICAL[unit]
        heard = page.evaluate("(a) => pad.understood(...a)", [text, unit, low, high])
        assert heard["value"] == of_server(text, unit)
    field = page.locator("#id_typed")
    for text, shown in (
        ("0.41", "understood: 0.41 V = 410 mV"),
        ("1.234", "The shop’s server reads it."),
        ("12 m", "understood: 12 mV = 0.012 V"),
        ("5", "understood: 5 V"),
    ):
        field.fill(text)
        assert plain(page.locator("#echo").inner_text()) == shown
    field.fill("0.41")
    expect(page.locator(".pad .take")).to_have_text("Take 0.41\N{NO-BREAK SPACE}V")


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ").strip()


LOOKS = {
    "tablet": (TABLET, False),
    "tablet-dark": (TABLET, True),
    "upright": (UPRIGHT, False),
    "phone-dark": (PHONE, True),
}
UNCOVERED = """() => {
  const at = document.activeElement, box = at.getBoundingClientRect();
  if (!at.closest(".card") || !box.width || at.matches("input[type=radio]")) return "";
  const hit = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
  return hit && (at.contains(hit) || hit.contains(at)) ? "" : at.outerHTML.slice(0, 90);
}"""


def test_the_entry_stays_in_sight_and_covers_no_focus(
    visit: Visit, board: Board, picture: Picture
) -> None:
    wrong = list[str]()
    for name, (size, dark) in LOOKS.items():
        page = visit("ines", size=size, dark=dark)
        for where in ({"check": "k03", "point": "k03/main"}, {"check": "k24"}):
            page.goto(board_url(board, told="1", **where))
            faults = layout_faults_of(page) + faults_of(page)
            wrong += [f"{name} {where}: {fault}" for fault in faults]
        page.goto(board_url(board, check="k03", point="k03/main"))
        page.keyboard.type("0.01")
        page.keyboard.press("Enter")
        page.locator("#verdict").wait_for()
        picture(page, f"bench-going-on-{name}")
        faults = layout_faults_of(page) + faults_of(page)
        wrong += [f"{name} verdict: {fault}" for fault in faults]
        assert in_sight(page, ".take"), name
        assert in_sight(page, ".bench-agreed"), name
        for _press in range(14):
            page.keyboard.press("Tab")
            if covered := page.evaluate(UNCOVERED):
                wrong.append(f"{name} covered: {covered}")
        page.goto("about:blank")
    assert not wrong, "\n".join(wrong)


def in_sight(page: Page, what: str) -> bool:
    box = page.locator(what).first.bounding_box()
    height = (page.viewport_size or {"height": 0})["height"]
    return box is not None and box["y"] >= 0 and box["y"] + box["height"] <= height


def test_very_large_letters_get_the_narrow_page_with_its_entry_in_sight(
    visit: Visit, board: Board, picture: Picture
) -> None:
    for size in (TABLET, {"width": 320, "height": 640}):
        page = visit("ines", size=size)
        if size is TABLET:
            session = page.context.new_cdp_session(page)
            session.send("Page.setFontSizes", {"fontSizes": {"standard": 32}})
        page.goto(board_url(board, check="k03", point="k03/main"))
        wide = "document.documentElement.scrollWidth - innerWidth"
        assert page.evaluate(wide) <= 0
        picture(page, f"bench-large-{size['width']}")
        assert in_sight(page, ".reading-field")
        page.goto("about:blank")
