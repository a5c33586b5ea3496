"""Suspects and the next best check in a real browser, at every size and theme."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from playwright.sync_api import Page, expect

from diagnostics import advising
from diagnostics.bridge import Known
from diagnostics.engine.assessment import Assessment, Disagreement
from diagnostics.engine.reasons import reason
from diagnostics.models import SuspectWord
from shop.people.models import Person
from tests.browser.conftest import (
    DESKTOP,
    TABLET,
    UPRIGHT,
    Visit,
    faults_of,
    layout_faults_of,
)
from tests.browser.pages import open_all, pages_of
from tests.diagnostics.test_suspect_pages import SAID

Picture = Callable[[Page, str], None]

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.one_database]

ODD = Disagreement(("k11/sb.33", "k31/keep5"), reason("no_single_fault"))
SAYINGS: dict[str, Assessment | None] = {
    "offered": SAID,
    "enough": replace(SAID, stop=reason("not_worth_it", minutes=25.0)),
    "unlike": replace(SAID, disagreements=(ODD,)),
    "healthy": replace(SAID, no_fault=0.9),
    "pending": None,
}
LOOKS = {
    "desktop": (DESKTOP, False),
    "tablet-dark": (TABLET, True),
    "upright": (UPRIGHT, False),
}


@pytest.fixture
def says(monkeypatch: pytest.MonkeyPatch) -> dict[str, Assessment | None]:
    """What the engine says of every board, as long as ``now`` is so."""
    told: dict[str, Assessment | None] = {"now": SAID}

    def assessment_of(known: Known) -> Assessment | None:
        return told["now"]

    monkeypatch.setattr(advising, "assessment_of", assessment_of)
    return told


def bench_url() -> str:
    """The board of the demo that is on the bench, at its first check."""
    seen = next(one for one in pages_of("ines") if one.name == "bench-look")
    return seen.url.partition("?")[0]


@pytest.mark.one_database
@pytest.mark.parametrize("look", LOOKS)
def test_every_state_of_the_card_fits_and_is_accessible(
    visit: Visit,
    picture: Picture,
    says: dict[str, Assessment | None],
    look: str,
) -> None:
    size, is_dark = LOOKS[look]
    page, wrong = visit("ines", size=size, dark=is_dark), list[str]()
    url = bench_url()
    for name, said in SAYINGS.items():
        says["now"] = said
        for where in ("?check=k03", "?check=k04&point=k04/leads"):
            page.goto(url + where)
            open_all(page)
            picture(page, f"suspects-{name}-{look}")
            faults = layout_faults_of(page) + faults_of(page)
            wrong += [f"{name} {where} {look}: {fault}" for fault in faults]
    assert not wrong, "\n".join(wrong)


def test_the_card_in_hand_and_the_next_best_check_are_in_the_first_screen(
    visit: Visit, says: dict[str, Assessment | None]
) -> None:
    page = visit("ines", size=TABLET)
    page.goto(bench_url() + "?check=k04&point=k04/leads")
    for at in (".entry .main", ".next-beside .button"):
        foot = page.locator(at).bounding_box()
        assert foot is not None
        assert foot["y"] + foot["height"] <= TABLET["height"], at


def test_what_is_worked_out_comes_by_itself_and_leaves_the_entry_alone(
    visit: Visit, says: dict[str, Assessment | None]
) -> None:
    says["now"] = None
    page = visit("ines", size=TABLET)
    page.goto(bench_url() + "?check=k04&point=k04/leads")
    expect(page.locator("#suspects")).to_contain_text("are being worked out")
    page.locator("#id_typed").fill("0.2")
    says["now"] = SAID
    expect(page.locator("#suspects")).to_contain_text("70", timeout=10_000)
    assert page.locator("#id_typed").input_value() == "0.2"
    expect(page.locator("#ladder")).to_contain_text("for it")


def test_hidden_suspects_are_shown_when_asked_for(
    visit: Visit, says: dict[str, Assessment | None], told_shop: object
) -> None:
    Person.objects.filter(username="ines").update(hides_suspects=True)
    page = visit("ines", size=TABLET)
    page.goto(bench_url() + "?check=k11&point=k11/sb.33")
    assert page.locator(".speaks-way").count() == 0
    page.get_by_role("link", name="Suspects: show").click()
    expect(page.locator("#suspects")).to_contain_text("70")
    assert page.locator(".speaks-way").count() > 0


def test_a_suspect_is_struck_in_two_taps(
    visit: Visit, says: dict[str, Assessment | None]
) -> None:
    page = visit("ines", size=TABLET)
    page.goto(bench_url() + "?check=k04&point=k04/leads")
    first = page.locator(".suspect").first
    first.get_by_text("Strike it, because").click()
    first.get_by_role("button", name="Seen intact").click()
    page.wait_for_load_state()
    expect(page.locator(".struck")).to_contain_text("seen intact")
    assert SuspectWord.objects.get().kind == "struck"
    page.get_by_role("button", name="Suspect it again").click()
    page.wait_for_load_state()
    assert page.locator(".struck").count() == 0
