"""The bench's number pad by hand, keyboard, foot switch, meter and scanner."""

from collections.abc import Callable
from statistics import median, quantiles

import pytest
from playwright.sync_api import Page, expect

from diagnostics import services
from diagnostics.models import Board, Reading
from shop.people.models import Person, Shop
from tests.browser.conftest import PICTURES, TABLET, Visit
from tests.browser.pad import at_focus, board_url
from tests.browser.scanner import scan

Picture = Callable[[Page, str], None]

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.one_database]


def note(figures: str) -> None:
    """Keep what was measured beside the pictures, where they are wanted."""
    if PICTURES is None:
        return
    PICTURES.mkdir(parents=True, exist_ok=True)
    with (PICTURES / "bench-figures.txt").open("a") as kept:
        kept.write(f"{figures}\n")


def tap(page: Page, typed: str) -> int:
    """Tap the keys of the pad and "Take"; how many taps it was."""
    for key in typed:
        page.locator(f'.pad [data-key="{key}"]').click()
    page.locator(".pad .take").click()
    return len(typed) + 1


UUID = '#card .entry [name="uuid"]'
COUNT = """() => { window.moved = 0;
  new PerformanceObserver((list) => {
    for (const one of list.getEntries())
      if (one.sources.some(({node}) => node?.parentElement?.closest(".bench")))
        window.moved += one.value;
  }).observe({type: "layout-shift", buffered: false}); }"""

# From each tap on "Take" to the frame in which its word, or the next check, is painted.
WORDS = f"""() => {{ window.words = [];
  const uuid = () => document.querySelector('{UUID}')?.value;
  document.addEventListener("click", (tap) => {{
    if (!tap.target.closest(".take")) return;
    const before = uuid();
    const look = () => requestAnimationFrame(() => {{
      if (!document.querySelector("#card > .is-foretold") && uuid() === before) look();
      else setTimeout(() => window.words.push(performance.now() - tap.timeStamp));
    }});
    look();
  }}, true); }}"""

# A good board of this family: by check, else by unit.
GOOD = {
    "k03": "0.01",
    "k04": "0.2",
    "k05": "48k",
    "k06": "62k",
    "k22": "0.3",
    "k16": "2.9",
    "k17": "4.0",
    "k07": "0.45",
    "k23": "19.5",
}
USUALLY = {"V": "3.3", "ohm": "410", "A": "20m", "K": "2", "%": "80", "Hz": "400k"}


def next_card(page: Page, uuid: str) -> None:
    """Wait until a reading is kept and what comes next is in hand."""
    expect(page.locator(f'{UUID}[value="{uuid}"]')).to_have_count(0)
    assert not page.locator("#wrong").count()


def change(page: Page) -> int:
    """Say that the board is so now, where that is asked; how many taps it was."""
    if not page.locator("#card .stand").count():
        return 0
    page.get_by_role("button", name="It is so now").click()
    page.locator(UUID).wait_for(state="attached")
    return 1


def walk(page: Page, count: int) -> tuple[int, int]:
    """Take readings along the walk; the taps made, and the floor for them.

    A change of the board's condition is one tap of its own, whatever comes after.
    """
    taps = floor = 0
    for _number in range(count):
        changed = change(page)
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
        taps, floor = taps + made + changed, floor + made + changed
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
    page.goto(board_url(fresh, way="walk"))
    page.evaluate(COUNT)
    page.evaluate(WORDS)
    begun = page.evaluate("performance.now()")
    taps, floor = walk(page, 20)
    seconds = (page.evaluate("performance.now()") - begun) / 1000
    note(f"20 readings by the walk: {taps} taps, floor {floor}, {seconds:.1f} s")
    words = page.evaluate("window.words")
    middle, late = median(words), quantiles(words, n=20)[-1]
    note(f"{len(words)} taps to the word: {middle:.0f} ms, {late:.0f} p95")
    moved = page.evaluate("window.moved")
    page.goto("about:blank")
    assert Reading.objects.filter(board=fresh).count() == 20
    assert taps == floor
    assert moved < 0.01


IN_PLACE = (".bench", "#waiting", "#clock")
OWN = "#card > .is-in-place h1"
# What is sent waits here: a service worker's requests pass by Playwright's routes.
HOLD = """() => { const send = window.fetch;
  window.fetch = (to, how) => String(to).endsWith("/reading/")
    ? new Promise((answered) => { window.release = () => answered(send(to, how)); })
    : send(to, how); }"""


def test_the_word_stands_at_the_tap_before_the_server_says_it(
    visit: Visit, fresh: Board
) -> None:
    """The pad came with it; the server's own verdict takes its place."""
    page = visit("ines", size=TABLET)
    page.goto(board_url(fresh, check="k03", point="k03/main", way="walk"))
    page.evaluate(HOLD)
    for rail in ("main rail", "memory rail"):
        uuid = page.locator(UUID).input_value()
        tap(page, "0.01")
        expect(page.locator(OWN)).to_contain_text(f"Good 0.01 V on {rail}")
        assert not page.locator("#card .verdict .acts").count()
        page.evaluate("release()")
        next_card(page, uuid)
        expect(page.locator("#verdict")).to_contain_text(f"Good 0.01 V on {rail}")
    page.get_by_text("How it was taken").click()
    page.get_by_label("Probes").select_option("red_on_ground")
    tap(page, "0.01")
    page.wait_for_timeout(300)
    assert not page.locator(OWN).count()  # taken otherwise than the pad knows
    page.evaluate("release()")


def test_nothing_moves_when_the_bar_says_what_waits(visit: Visit, fresh: Board) -> None:
    page = visit("ines", size=TABLET)
    page.goto(board_url(fresh, check="k03", point="k03/main", way="walk"))
    waiting = page.locator("#waiting")
    expect(waiting).to_contain_text("All sent")
    page.evaluate(HOLD)
    before = [page.locator(one).bounding_box() for one in IN_PLACE]
    uuid = page.locator(UUID).input_value()
    tap(page, "0.01")
    expect(waiting).to_contain_text("Not sent yet: 1")
    assert [page.locator(one).bounding_box() for one in IN_PLACE] == before
    page.evaluate("release()")
    next_card(page, uuid)


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
