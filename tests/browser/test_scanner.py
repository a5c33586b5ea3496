"""A scanner on every page: it presses nothing, leaves no trace, and leads on."""

import re
from collections.abc import Iterator

import pytest
from django.urls import resolve
from playwright.sync_api import Page, Request, expect

from shop.intake import scans, services
from shop.intake.models import Place, Ticket
from shop.people.models import Person, Shop
from tests.browser.conftest import TABLET, Visit
from tests.browser.pages import Seen, pages_of
from tests.browser.scanner import scan

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.one_database]

FOREIGN = "ZX 40-7719 LOT 2026-11-26 QTY 100 REV B SUPPLIER ORDER 558 A"
FIELDS = (
    "main :is(input:is([type=text], [type=search], [type=email], :not([type])), "
    "textarea):not([readonly])"
)
SAID = "#scan-bar [role=status]"


SCANNERS = ("tomas", "ines", "marit")


@pytest.mark.parametrize("person", SCANNERS)
def test_a_long_foreign_scan_presses_nothing_on_any_page(
    visit: Visit, person: str
) -> None:
    """trust.md D5: 60 characters at 5 ms and Enter, with and without a focus."""
    assert len(FOREIGN) == 60
    page = visit(person)
    before = SCANNERS[: SCANNERS.index(person)]
    looked_at = {kind for other in before for kind in kinds_of(other)}
    own = [seen for kind, seen in kinds_of(person).items() if kind not in looked_at]
    wrong = [fault for seen in own for fault in pressed(page, seen)]
    assert own
    assert not wrong, "\n".join(wrong)


def kinds_of(person: str) -> dict[str, Seen]:
    """One page of each kind that this person sees."""
    return {resolve(s.url.partition("?")[0]).view_name: s for s in pages_of(person)}


def pressed(page: Page, seen: Seen) -> Iterator[str]:
    """What happened on a page besides the scan's own question."""
    page.goto(seen.url)
    if page.locator("[data-adds]").count():
        return  # a sale takes every scan for a part, and says which it doesn't know
    page.evaluate("document.querySelectorAll('details').forEach((e) => e.open = true)")
    at = page.url
    asked: list[str] = []

    def note(request: Request) -> None:
        if request.method != "GET" or request.is_navigation_request():
            asked.append(f"{request.method} {request.url}")

    page.on("request", note)
    fields = page.locator(FIELDS)
    targets = [page.locator("main a, main button").first, *fields.all()[:1]]
    for target in [one for one in targets if one.count()]:
        if not target.is_visible() or target.is_disabled():
            continue
        target.focus()
        before = values_of(page)
        scan(page, FOREIGN)
        expect(page.locator(SAID)).to_have_text(re.compile("ZX|field"))
        if values_of(page) != before and "field" not in page.inner_text(SAID):
            yield f"{seen.name}: the scan stayed in a field"
    page.remove_listener("request", note)
    if asked or page.url != at:
        yield f"{seen.name}: {asked} {page.url}"


def values_of(page: Page) -> list[str]:
    values: list[str] = page.evaluate(VALUES)
    return values


VALUES = """() => [...document.querySelectorAll("input, textarea, select")].map(
  (e) => e.type === "checkbox" || e.type === "radio" ? String(e.checked) : e.value)"""


def test_what_was_typed_stays_and_any_layout_is_read(
    visit: Visit, told_shop: Shop
) -> None:
    ticket = Ticket.objects.filter(handover=None).earliest("id")
    code, plain = scans.tag_code(ticket.number, 1), f"{ticket.number}-1"
    page = visit("tomas", size=TABLET)
    page.goto("/counter/new/")
    page.get_by_label("Name", exact=True).fill("Iris Thole")
    told = page.get_by_label("In the customer’s words")
    told.fill("It smells of tea")
    for layout in ("us", "fr", "de"):
        for text in (code, plain):
            for end in ("Enter", "Tab"):
                page.evaluate("sessionStorage.clear()")
                told.focus()
                scan(page, text, layout=layout, end=end)
                expect(page.locator(SAID)).to_contain_text(f"{ticket.number}-1")
                page.evaluate(f"document.querySelector('{SAID}').textContent = ''")
    assert told.input_value() == "It smells of tea"
    assert page.get_by_label("Name", exact=True).input_value() == "Iris Thole"
    assert page.url.endswith("/counter/new/")
    serial = page.get_by_label("Serial number")
    serial.focus()
    scan(page, "r7-44021")
    expect(page.locator(SAID)).to_have_text("Scanned into the field.")
    assert serial.input_value() == "r7-44021"
    scan(page, code)
    expect(page.locator(SAID)).to_contain_text(f"{ticket.number}-1")
    assert serial.input_value() == "r7-44021"
    told.focus()
    page.keyboard.type(" slowly, by hand: CRT1", delay=60)
    page.keyboard.press("Enter")
    assert told.input_value() == "It smells of tea slowly, by hand: CRT1\n"


def test_a_meter_types_a_reading_and_a_scanner_does_not(visit: Visit) -> None:
    page = visit("ines", size=TABLET)
    bench = next(seen for seen in pages_of("ines") if seen.name == "bench")
    page.goto(bench.url)
    field = page.locator("#id_typed")
    field.focus()
    scan(page, FOREIGN)
    expect(page.locator(SAID)).to_contain_text("is no code of ours")
    assert field.input_value() == ""
    assert page.locator("#verdict").count() == 0
    field.focus()
    scan(page, "0.412")
    page.locator("#verdict").wait_for()


def test_two_scans_put_a_thing_and_undo_takes_it_back(
    visit: Visit, told_shop: Shop
) -> None:
    by = Person.objects.get(username="marit")
    services.places_make(shop=told_shop, by=by, names="C1 to C4", kind="shelf")
    c3, c4 = (scans.place_code(Place.objects.get(name=n).pk) for n in ("C3", "C4"))
    ticket = Ticket.objects.filter(handover=None).earliest("id")
    other = Ticket.objects.filter(handover=None).latest("id")
    tag, tag_too = (scans.tag_code(t.number, 1) for t in (ticket, other))
    page = visit("tomas")
    page.goto("/counter/")
    scan(page, tag)
    page.wait_for_url(f"**/tickets/{ticket.number}/")
    scan(page, c4)
    expect(page.locator(SAID)).to_have_text(f"{ticket.number}-1 put at C4")
    place = page.locator(f"[data-place-of='{ticket.number}-1']")
    expect(place).to_have_text("C4")
    page.get_by_role("button", name="Undo").click()
    expect(page.locator(SAID)).to_contain_text("taken back")
    expect(place).to_have_text("no place noted")
    scan(page, c3)
    expect(page.locator(SAID)).to_contain_text("Scan bag tags to put them here")
    for one, number in ((tag, ticket.number), (tag_too, other.number)):
        scan(page, one)
        expect(page.locator(SAID)).to_have_text(f"{number}-1 put at C3")
    page.goto("/counter/")
    assert page.locator("table").get_by_text("at C3").count() == 2
    page.evaluate("sessionStorage.clear()")
    scan(page, f"CRT{ticket.number[:-1]}{(int(ticket.number[-1]) + 1) % 10}X1")
    expect(page.locator(SAID)).to_contain_text("the check digit")


def test_without_script_the_same_is_done_by_pages(
    visit: Visit, told_shop: Shop
) -> None:
    by = Person.objects.get(username="marit")
    services.places_make(shop=told_shop, by=by, names="C4", kind="shelf")
    ticket = Ticket.objects.filter(handover=None).earliest("id")
    page = visit("tomas")
    page.route("**/scan.js", lambda route: route.abort())
    page.goto("/counter/")
    page.get_by_label("Find").focus()
    scan(page, scans.tag_code(ticket.number, 1))
    page.get_by_label("Put it at").focus()
    scan(page, scans.place_code(Place.objects.get().pk))
    page.get_by_text(f"{ticket.number}-1 put at C4").wait_for()
