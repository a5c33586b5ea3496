"""Every page of the map, looked at in a browser at its sizes and in both themes.

Nothing for axe to find, nothing to scroll sideways, every target as large as a hand
and apart from its neighbour, every id once, no complaint on the console.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import pytest
from django.template.loader import render_to_string
from django.urls import URLPattern, URLResolver, get_resolver, resolve
from playwright.sync_api import ConsoleMessage, Page, Route

from diagnostics.models import Board
from shop.billing.models import Invoice
from shop.intake.models import Ticket
from tests.browser.conftest import (
    DESKTOP,
    PHONE,
    TABLET,
    UPRIGHT,
    Visit,
    faults_of,
    layout_faults_of,
)

Picture = Callable[[Page, str], None]

pytestmark = pytest.mark.django_db(transaction=True)

NARROW = {"width": 320, "height": 640}
LOOKS = {
    "desktop-light": (DESKTOP, "light"),
    "tablet-dark": (TABLET, "dark"),
    "upright-light": (UPRIGHT, "light"),
    "phone-light": (PHONE, "light"),
}
# Contrast differs by theme, not by size.
FOR_AXE = {"desktop-light", "tablet-dark"}
# Papers, acts and ways on: they answer with no page of their own.
NO_PAGES = {
    "desk:home",
    "desk:invoice_issue",
    "people:sign_out",
    "intake:job_slip",
    "intake:unpark",
    "intake:thing_return",
    "billing:quote_answer",
    "billing:quote_pdf",
    "billing:time_reverse",
    "billing:part_return",
    "billing:part_arrive",
    "billing:invoice_pdf",
    "diagnostics:proof_sheet",
    "diagnostics:reading_take",
    "diagnostics:reading_strike",
    "diagnostics:gate_overrule",
    "diagnostics:intervention",
    "diagnostics:data_safe",
    "diagnostics:finding",
    "diagnostics:not_fitted",
    "diagnostics:board_take",
    "diagnostics:board_put_down",
}
PEOPLE = ("", "tomas", "ines", "marit")


@dataclass(frozen=True)
class Seen:
    """A page, and what is done on it before it is looked at."""

    name: str
    url: str
    status: int = 200
    act: Callable[[Page], None] | None = None


def pages_of(person: str) -> list[Seen]:
    done = Ticket.objects.filter(handover__isnull=False).latest("id")
    on_bench = Ticket.objects.get(device__serial="P15-4402-118C")
    quoted = Ticket.objects.filter(quotes__isnull=False, handover=None).earliest("id")
    return {
        "": pages_of_nobody,
        "tomas": lambda: counter_pages(done, quoted),
        "ines": lambda: bench_pages(done, on_bench),
        "marit": office_pages,
    }[person]()


def pages_of_nobody() -> list[Seen]:
    return [
        Seen("sign-in", "/sign-in/"),
        Seen("sign-in-refused", "/sign-in/", act=sign_in_wrongly),
        Seen("form-too-old", "/sign-in/", act=sign_in_without_cookie),
        Seen("not-understood", "/broken/400.html", status=400),
        Seen("fault-of-ours", "/broken/500.html", status=500),
    ]


def counter_pages(done: Ticket, quoted: Ticket) -> list[Seen]:
    at = f"/tickets/{quoted.number}/"
    tag = quoted.things.earliest("id").tag
    return [
        Seen("day-list", "/counter/"),
        Seen("find", "/find/?q=nothing+like+it"),
        Seen("find-several", "/find/?q=a"),
        Seen("intake", "/counter/new/"),
        Seen("intake-refused", "/counter/new/", act=take_in_nothing),
        Seen("offers", "/counter/customers/?name=iris"),
        Seen("customer", f"/counter/customers/{done.customer_id}/"),
        Seen("ticket", f"/tickets/{done.number}/"),
        Seen("ticket-open", at),
        *(
            Seen(name, f"{at}{name}/")
            for name in ("story", "park", "told", "promise", "outcome", "handover")
        ),
        Seen("place", f"{at}things/{tag}/place/"),
        Seen("quote-new", f"{at}quote/"),
        Seen("quote", f"{at}quotes/1/"),
        *(Seen(name, f"{at}{name}/") for name in ("order", "payment", "work")),
        Seen("not-allowed", "/office/", status=403),
        Seen("not-here", "/tickets/0000/", status=404),
    ]


def bench_pages(done: Ticket, on_bench: Ticket) -> list[Seen]:
    board = Board.objects.get(ticket_boards__ticket=on_bench)
    at, bench = f"/bench/{on_bench.number}/", f"/bench/{on_bench.number}/{board.pk}/"
    return [
        Seen("bench-list", "/bench/"),
        Seen("bench", f"{bench}?stage=standby"),
        Seen("bench-look", f"{bench}?check=k01"),
        Seen("bench-held", f"{bench}?check=k32", act=open_all),
        Seen("bench-refused", f"{bench}?check=k03", act=read_nonsense),
        Seen("bench-verdict", f"{bench}?check=k03&point=k03/main", act=read_a_value),
        Seen("board-join", f"{at}board/"),
        Seen("proof", f"/bench/{done.number}/proof/"),
        Seen("proof-empty", f"{at}proof/"),
        Seen("ticket-technician", f"/tickets/{on_bench.number}/"),
        Seen("time", f"/tickets/{on_bench.number}/time/"),
        Seen("part", f"/tickets/{on_bench.number}/part/"),
        Seen("work-technician", f"/tickets/{done.number}/work/"),
    ]


def office_pages() -> list[Seen]:
    number = Invoice.objects.latest("id").number
    return [
        Seen("office", "/office/"),
        Seen("credit-note", f"/invoices/{number}/credit-note/"),
    ]


def sign_in_wrongly(page: Page) -> None:
    send_sign_in(page)
    page.get_by_role("alert").wait_for()


def send_sign_in(page: Page) -> None:
    page.get_by_label("Sign-in name").fill("tomas")
    page.get_by_label("Password").fill("wrong")
    page.get_by_role("button", name="Sign in").click()


def sign_in_without_cookie(page: Page) -> None:
    page.context.clear_cookies()
    send_sign_in(page)
    page.get_by_role("heading", name="too old to be sent").wait_for()


def take_in_nothing(page: Page) -> None:
    page.get_by_role("button", name="Only keep").click()
    page.get_by_role("alert").first.wait_for()


def open_all(page: Page) -> None:
    for summary in page.locator("summary").all():
        summary.click()


def read_nonsense(page: Page) -> None:
    page.locator("#id_typed").fill("a lot")
    page.keyboard.press("Enter")
    page.locator("#wrong").wait_for()
    open_all(page)


def read_a_value(page: Page) -> None:
    page.locator("#id_typed").fill("0.01")
    page.keyboard.press("Enter")
    page.locator("#verdict").wait_for()


@pytest.mark.parametrize("person", PEOPLE, ids=[one or "nobody" for one in PEOPLE])
def test_every_page_fits_and_is_accessible(
    visit: Visit, picture: Picture, person: str
) -> None:
    page = visit(person)
    page.route("**/broken/*.html", broken)
    complaints: list[str] = []
    page.on("console", lambda said: complaints.extend(complaint(said)))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    wrong = [
        fault for seen in pages_of(person) for fault in look_at(page, seen, picture)
    ]
    wrong += complaints
    assert not wrong, "\n".join(wrong)


def look_at(page: Page, seen: Seen, picture: Picture) -> Iterator[str]:
    """One load, then every size and theme of it."""
    page.emulate_media(color_scheme="light")
    page.set_viewport_size({"width": 1440, "height": 900})
    answer = page.goto(seen.url)
    if answer is None or answer.status != seen.status:
        yield f"{seen.name}: answered {answer and answer.status}"
    if seen.act:
        seen.act(page)
        page.evaluate("scrollTo(0, 0)")
    for look, (size, theme) in LOOKS.items():
        page.emulate_media(color_scheme="dark" if theme == "dark" else "light")
        page.set_viewport_size({"width": size["width"], "height": size["height"]})
        picture(page, f"{seen.name}-{look}")
        faults = layout_faults_of(page)
        faults += faults_of(page) if look in FOR_AXE else []
        yield from (f"{seen.name} {look}: {fault}" for fault in faults)
    page.set_viewport_size({"width": NARROW["width"], "height": NARROW["height"]})
    yield from (f"{seen.name} 320 wide: {fault}" for fault in layout_faults_of(page))


def complaint(said: ConsoleMessage) -> list[str]:
    """Errors and warnings; that a page answers 4xx or 5xx is what was asked for."""
    if said.type not in {"error", "warning"} or said.text.startswith("Failed to load"):
        return []
    return [said.text]


def broken(route: Route) -> None:
    """Pages that no address leads to: their templates, as Django renders them."""
    template = route.request.url.rpartition("/")[2]
    status = int(template.partition(".")[0])
    body = render_to_string(template)
    route.fulfill(status=status, body=body, content_type="text/html; charset=utf-8")


def test_the_ring_shows_where_the_keyboard_is(visit: Visit) -> None:
    page = visit("tomas")
    page.goto("/counter/new/")
    rings = set()
    for _step in range(25):
        page.keyboard.press("Tab")
        rings.add(page.evaluate(RING))
    assert rings == {"solid 3px"}


# A hidden radio hands its ring to the box around it.
RING = """() => {
  const at = document.activeElement, box = at.closest(".choices label") || at;
  const style = getComputedStyle(box);
  return `${style.outlineStyle} ${style.outlineWidth}`;
}"""


@pytest.mark.parametrize("size", [TABLET, UPRIGHT], ids=["tablet", "upright"])
def test_a_reading_is_taken_without_scrolling(
    visit: Visit, size: dict[str, int]
) -> None:
    page = visit("ines", size=size)
    bench = next(seen for seen in pages_of("ines") if seen.name == "bench")
    page.goto(bench.url)
    feet = [page.evaluate(FOOT, at) for at in (".entry .main", "#ladder .ladder")]
    assert max(feet) <= size["height"] - DEMO_BANNER


DEMO_BANNER = 28
FOOT = "(at) => document.querySelector(at).getBoundingClientRect().bottom"


def test_no_page_of_the_map_is_left_out(visit: Visit) -> None:
    looked_at = {
        resolve(seen.url.partition("?")[0]).view_name
        for person in PEOPLE
        for seen in pages_of(person)
        if seen.status == 200
    }
    assert set(names_of(get_resolver().url_patterns)) - NO_PAGES == looked_at


def names_of(patterns: list[URLPattern | URLResolver], space: str = "") -> list[str]:
    names = []
    for one in patterns:
        if isinstance(one, URLResolver):
            names += names_of(one.url_patterns, f"{one.namespace}:")
        else:
            names.append(f"{space}{one.name}")
    return names
