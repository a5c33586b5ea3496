"""The bench's number pad in a real browser: what it understands, and what it costs."""

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from playwright.sync_api import Page, expect

from diagnostics import services
from diagnostics.engine import quantities
from diagnostics.engine.errors import TypedValueError
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.units import PHYSICAL
from diagnostics.models import Board, Reading
from shop.people.models import Person, Shop
from tests.browser.conftest import (
    PHONE,
    PICTURES,
    TABLET,
    UPRIGHT,
    Visit,
    faults_of,
    layout_faults_of,
)
from tests.browser.scanner import scan

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


def board_url(board: Board, **state: str) -> str:
    ticket = board.ticket_boards.get().ticket
    return f"/bench/{ticket.number}/{board.pk}/?{urlencode(state)}"


@pytest.fixture
def board(told_shop: Shop) -> Board:
    """The board on the bench, cold today: power is gone and the leads are measured."""
    return Board.objects.get(ticket_boards__ticket__device__serial="P15-4402-118C")


def by_ines(board: Board, point: str, typed: str = "", **words: Any) -> Reading:
    return services.reading_take(
        board=board,
        ticket=board.ticket_boards.get().ticket,
        by=Person.objects.get(username="ines"),
        point_id=point,
        typed=typed,
        **words,
    )


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


def note(figures: str) -> None:
    """Keep what was measured beside the pictures."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    with (PICTURES / "bench-figures.txt").open("a") as kept:
        kept.write(f"{figures}\n")


# --- by hand ---


def tap(page: Page, typed: str) -> int:
    """Tap the keys of the pad and "Take"; how many taps it was."""
    for key in typed:
        page.locator(f'.pad [data-key="{key}"]').click()
    page.locator(".pad .take").click()
    return len(typed) + 1


COUNT = """() => { window.moved = 0;
  new PerformanceObserver((list) => {
    for (const one of list.getEntries()) window.moved += one.value;
  }).observe({type: "layout-shift", buffered: false}); }"""

# A good board of this family: by check, else by unit.
GOOD = {
    "k03": "0.01",
    "k04": "0.2",
    "k05": "48k",
    "k06": "62k",
    "k22": "0.3",
    "k16": "2.9",
    "k17": "4.0",
}
USUALLY = {"V": "3.3", "ohm": "410", "A": "20m", "K": "2", "%": "80", "Hz": "400k"}


UUID = '#card .entry [name="uuid"]'


def next_card(page: Page, uuid: str) -> None:
    """Wait until a reading is kept and the next check is in hand, with a new uuid."""
    expect(page.locator(UUID)).not_to_have_value(uuid)
    assert not page.locator("#wrong").count()
    assert at_focus(page) == "verdict"


def at_focus(page: Page) -> str:
    return str(page.evaluate("document.activeElement.id"))


def walk(page: Page, count: int) -> tuple[int, int]:
    """Take readings along the walk; the taps made, and the floor for them."""
    taps = floor = 0
    for _number in range(count):
        uuid = page.locator(UUID).input_value()
        at = page.locator('#card [name="point_id"]').input_value()
        check = at.partition("/")[0]
        answers = page.locator("#card .answers button")
        if answers.count():
            answers.first.click()
            made = 1
        else:
            unit = page.locator("[data-pad]").get_attribute("data-unit") or ""
            made = tap(page, GOOD.get(check) or USUALLY[unit])
        taps, floor = taps + made, floor + made
        next_card(page, uuid)
    return taps, floor


@pytest.fixture
def fresh(told_shop: Shop, board: Board) -> Board:
    """Another board of this model, on the same ticket, of which nothing is read."""
    return services.board_join(
        ticket=board.ticket_boards.get().ticket,
        by=Person.objects.get(username="ines"),
        board_model=board.board_model,
        serial="fresh",
    )


def test_twenty_readings_by_the_walk_cost_their_digits_and_one_tap_each(
    visit: Visit, fresh: Board
) -> None:
    page = visit("ines", size=TABLET)
    page.goto(board_url(fresh))
    page.evaluate(COUNT)
    begun = page.evaluate("performance.now()")
    taps, floor = walk(page, 20)
    seconds = (page.evaluate("performance.now()") - begun) / 1000
    note(f"20 readings by the walk: {taps} taps, floor {floor}, {seconds:.1f} s")
    moved = page.evaluate("window.moved")
    page.goto("about:blank")
    assert Reading.objects.filter(board=fresh).count() == 20
    assert taps == floor
    assert moved < 0.01


# --- keyboard, foot switch, meter, scanner ---


def test_digits_land_in_the_next_pad_and_a_foot_switch_takes_them(
    visit: Visit, fresh: Board
) -> None:
    page = visit("ines", size=TABLET)
    page.goto(board_url(fresh, check="k03", point="k03/main"))
    field, uuid = page.locator("#id_typed"), page.locator(UUID)
    first = uuid.input_value()
    page.keyboard.type("0.01", delay=60)
    page.keyboard.press("Enter")
    next_card(page, first)
    second = uuid.input_value()
    page.keyboard.press("Enter")  # a foot switch that bounces
    for key in "0.02":
        page.locator(f'.pad [data-key="{key}"]').click()
    assert at_focus(page) == "verdict"
    page.keyboard.press("PageDown")
    next_card(page, second)
    third = uuid.input_value()
    scan(page, "4X 40-7719 LOT 2026")
    expect(page.locator("#scan-bar [role=status]")).to_contain_text("no code of ours")
    assert field.input_value() == ""
    page.locator("#verdict").focus()
    scan(page, "0.012")
    next_card(page, third)
    fourth = uuid.input_value()
    page.keyboard.type("62k", delay=60)
    assert field.input_value() == "62k"
    page.evaluate(
        "document.activeElement.dispatchEvent(new KeyboardEvent('keydown',"
        " {key: 'F13', bubbles: true, cancelable: true}))"
    )
    expect(uuid).not_to_have_value(fourth)
    page.goto("about:blank")
    assert [one.typed for one in Reading.objects.filter(board=fresh)] == [
        *("0.01", "0.02", "0.012", "62k"),
    ]


def test_courses_ticks_and_answers_by_hand(
    visit: Visit, board: Board, picture: Picture
) -> None:
    page = visit("ines", size=TABLET)
    page.goto(board_url(board, check="k24", point="k24/supply", told="1"))
    page.get_by_text("hunting", exact=True).click()
    page.locator('.pad [data-key="0"]').click()
    page.get_by_label("Highest").click()
    for key in ".4":
        page.locator(f'.pad [data-key="{key}"]').click()
    picture(page, "bench-pattern")
    page.locator(".pad .take").click()
    page.locator("#verdict").wait_for()
    expect(page.locator("#verdict")).to_contain_text("hunting, 0")
    page.goto(board_url(board, check="k60", told="1"))
    page.locator(".tick-row", has_text="Sound").get_by_text("fails").click()
    expect(page.locator(".take")).to_have_text("All ok except sound")
    page.locator(".take").click()
    page.locator("#verdict").wait_for()
    expect(page.locator(".verdict")).to_contain_text("sound: fails")
    page.goto(board_url(board, check="k01", point="k01/top"))
    page.get_by_role("button", name="Clean").click()
    page.locator("#verdict").wait_for()
    page.goto("about:blank")
    kept = Reading.objects.filter(board=board).order_by("-pk")
    assert [one.category for one in kept[:8]].count("works") == 5
    assert kept[7].pattern == {"kind": "hunting", "low": 0.0, "high": 0.4}


# --- looks ---

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
        page.keyboard.type("5.1")
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
