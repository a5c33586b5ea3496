"""Every page of the map, looked at in a browser at its sizes and in both themes.

Nothing for axe to find, nothing to scroll sideways, every target as large as a hand
and apart from its neighbour, every id once, no complaint on the console.
"""

import os
from collections.abc import Callable, Iterator

import pytest
from django.template.loader import render_to_string
from django.urls import URLPattern, URLResolver, get_resolver, resolve
from playwright.sync_api import ConsoleMessage, Page, Response, Route

from tests.browser.conftest import (
    DESKTOP,
    OF_A_LOOK,
    PHONE,
    TABLET,
    UPRIGHT,
    Visit,
    faults_of,
    layout_faults_of,
)
from tests.browser.pages import PEOPLE, Seen, pages_of

Picture = Callable[[Page, str], None]

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.one_database]

NARROW = {"width": 320, "height": 640}
LOOKS = {
    "desktop-light": (DESKTOP, "light"),
    "tablet-dark": (TABLET, "dark"),
    "upright-light": (UPRIGHT, "light"),
    "phone-light": (PHONE, "light"),
}
# By name of a look, axe's rules: all of them once, then what the look changes.
FOR_AXE: dict[str, tuple[str, ...]] = {"desktop-light": (), "tablet-dark": OF_A_LOOK}
# Asked for by hand: axe at three widths, in both themes.
if "COLDRAIL_EVERY_LOOK" in os.environ:
    LOOKS = {
        f"{name}-{theme}": (size, theme)
        for name, size in (("desktop", DESKTOP), ("tablet", TABLET), ("phone", PHONE))
        for theme in ("light", "dark")
    }
    FOR_AXE = dict.fromkeys(LOOKS, ())
# Papers, acts and ways on: they answer with no page of their own.
NO_PAGES = {
    # Papers and tables to be saved, and acts that lead back to a page of the map.
    "billing:invoice_receipt",
    "billing:invoice_receipt_print",
    "billing:loan_device_end",
    "books:bundle",
    "books:day_pdf",
    "books:journal",
    "books:papers",
    "books:payments",
    "books:remind",
    "books:reminder_pdf",
    "keeping:backup_ask",
    "keeping:key_new",
    "keeping:key_print",
    "keeping:sheet",
    "office:figures_csv",
    "office:figures_ods",
    "office:weekly_send",
    "office:weekly_sheet",
    "office:weekly_so_far",
    "office:weekly_wish",
    "opening:rates_withdraw",
    "serving:healthz",
    "serving:readyz",
    # An act that leads to the quote's page; looked at as "quote-drafted".
    "desk:quote_draft",
    # What the bench's scripts ask for, and acts that answer no page of their own.
    "diagnostics:cards",
    "diagnostics:check_pass_by",
    "diagnostics:condition_set",
    "diagnostics:live",
    "diagnostics:proof_end",
    "diagnostics:proof_level",
    "diagnostics:proof_photos",
    "diagnostics:proof_run_answer",
    "diagnostics:proof_run_start",
    "diagnostics:proof_ticks",
    "diagnostics:tablet",
    "desk:home",
    "desk:invoice_issue",
    "desk:phoned",
    "desk:slip_renew",
    "desk:slip_revoke",
    "people:sign_out",
    "people:badge",
    "people:switch_later",
    # At a bench tablet alone; looked at as "switch", where it first answers 404.
    "people:switch",
    # Second names of pages that stand here already.
    "account_login",
    "account_reauthenticate",
    # Open in the middle of a sign-in; looked at in test_sign_in.py.
    "people:here",
    "people:factor_end",
    "people:badge_end",
    "people:station_end",
    "people:password_new",
    "people:factors_reset",
    "people:badge_new",
    "mfa_generate_recovery_codes",
    "mfa_view_recovery_codes",
    "mfa_authenticate",
    "mfa_login_webauthn",
    "mfa_reauthenticate",
    "mfa_reauthenticate_webauthn",
    "intake:draft",
    "intake:draft_drop",
    "intake:intake_answer",
    "desk:day_live",
    "desk:told_again",
    "desk:notice",
    "desk:notice_pdf",
    "intake:job_slip",
    "intake:tags",
    "intake:tag",
    "intake:papers_print",
    "intake:place_labels",
    "intake:place_label",
    "intake:place_label_print",
    "intake:place_end",
    "intake:scan_put",
    "intake:scan_slip",
    "intake:outage_pdf",
    "intake:paper_slip_restore",
    "intake:scan_undo",
    "messaging:again",
    "messaging:told",
    "messaging:invoice",
    "messaging:account_invoice",
    "messaging:account_statement",
    "messaging:account_again",
    "messaging:account_otherwise",
    "desk:handover_draft",
    "desk:handover_paper",
    "billing:receipt",
    "billing:receipt_print",
    "printing:test",
    "printing:waiting",
    "printing:job_pdf",
    "printing:again",
    "printing:here",
    "intake:unpark",
    "intake:thing_return",
    "intake:passcode_erase",
    "photos:strip",
    "photos:link_make",
    "photos:link_end",
    "photos:photo_erase",
    "photos:full",
    "photos:small",
    "billing:quote_answer",
    "billing:quote_pdf",
    "billing:quote_sums",
    "billing:time_reverse",
    "billing:part_return",
    "billing:part_arrive",
    "billing:line_cancel",
    "billing:stock_keep",
    "billing:stock_let_go",
    "diagnostics:donor_paper",
    "billing:invoice_pdf",
    "billing:order_pdf",
    "billing:statement_pdf",
    "diagnostics:proof_sheet",
    "diagnostics:photos",
    "diagnostics:reading_take",
    "diagnostics:reading_strike",
    "diagnostics:gate_overrule",
    "diagnostics:intervention",
    "diagnostics:data_safe",
    "diagnostics:finding",
    "diagnostics:not_fitted",
    "diagnostics:suspects",
    "diagnostics:suspect_name",
    "diagnostics:suspect_word",
    "diagnostics:sighting",
    "diagnostics:sighting_strike",
    "diagnostics:board_take",
    "diagnostics:board_put_down",
    "diagnostics:machine_start",
    "diagnostics:machine_end",
    "desk:clock",
    "desk:clock_undo",
    "desk:scan_take",
    "searching:live",  # a part of each page: find-live looks at it
    "diagnostics:part_step",
    "diagnostics:part_step_back",
    "diagnostics:lore_keep",
    "diagnostics:circuits_mark",
    "diagnostics:circuits_undo",
    "diagnostics:circuits_away",
    "diagnostics:circuits_say",
    "diagnostics:circuits_outline",
    "diagnostics:circuits_picture",
    "diagnostics:picture",
    "serving:answer",
    "serving:authority_der",
    "serving:authority_pem",
    "serving:authority_profile",
    "serving:service_worker",
    "rights:data",
    "opening:set_up",  # only before there is a shop: test_set_up.py looks at it
    "opening:step_done",
    "opening:texts_read",
    "opening:import_read",
    "opening:import_check",
    "opening:import_do",
    "opening:import_undo",
    "opening:import_left_out",
}


# Whoever sees many pages is looked over the shoulder in several parts.
PARTS = [
    pytest.param(one, part, parts, id=f"{one or 'nobody'}-{part + 1}-of-{parts}")
    for one, parts in zip(PEOPLE, (1, 2, 3, 1), strict=True)
    for part in range(parts)
]


@pytest.mark.parametrize(("person", "part", "parts"), PARTS)
def test_every_page_fits_and_is_accessible(
    visit: Visit, picture: Picture, person: str, part: int, parts: int
) -> None:
    page = visit(person)
    complaints: list[str] = []
    page.on("console", lambda said: complaints.extend(complaint(said)))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    wrong = [
        fault
        for seen in pages_of(person)[part::parts]
        for fault in look_at(page, seen, picture)
    ]
    wrong += complaints
    assert not wrong, "\n".join(wrong)


def look_at(page: Page, seen: Seen, picture: Picture) -> Iterator[str]:
    """One load, then every size and theme of it."""
    page.emulate_media(color_scheme="light")
    page.set_viewport_size({"width": 1440, "height": 900})
    answer = opened(page, seen.url)
    if answer is None or answer.status != seen.status:
        yield f"{seen.name}: answered {answer and answer.status}"
    if seen.act:
        seen.act(page)
    for look, (size, theme) in LOOKS.items():
        page.emulate_media(color_scheme="dark" if theme == "dark" else "light")
        page.set_viewport_size({"width": size["width"], "height": size["height"]})
        page.evaluate("scrollTo(0, 0)")  # nothing stands half under what is sticky
        picture(page, f"{seen.name}-{look}")
        faults = layout_faults_of(page)
        faults += faults_of(page, FOR_AXE[look]) if look in FOR_AXE else []
        yield from (f"{seen.name} {look}: {fault}" for fault in faults)
    page.set_viewport_size({"width": NARROW["width"], "height": NARROW["height"]})
    yield from (f"{seen.name} 320 wide: {fault}" for fault in layout_faults_of(page))


def opened(page: Page, url: str) -> Response | None:
    """Chromium keeps no file while anything is routed: nothing is, but for these."""
    if not url.startswith("/broken/"):
        return page.goto(url)
    page.route(f"**{url}", broken)
    answer = page.goto(url)
    page.unroute(f"**{url}")
    return answer


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
            inner = f"{one.namespace}:" if one.namespace else space
            names += names_of(one.url_patterns, inner)
        else:
            names.append(f"{space}{one.name}")
    return names
