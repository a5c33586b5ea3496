"""Every caution stands where it applies, and defers to whose rules come first.

The audit: domain brief, section 10, row by row -> the checks, parts, acts and pages
that must carry it. What a row says must be in the words that are shown.
"""

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics import cards, queries
from diagnostics.bridge import Judged
from diagnostics.engine.boards import load_family
from diagnostics.models import Board
from diagnostics.words import cautions
from shop.intake.models import Ticket
from tests.diagnostics.conftest import Read
from tests.diagnostics.test_bench_page import page_of

FAMILY = load_family("laptop_barrel")
EVERY_CHECK = frozenset(FAMILY.checks)
# The leads alone, the adapter alone, what is read with the machine closed or asked.
CLOSED = {"k04", "k23", "k56", "k57", "k60", "k65", "k66"}

SECTION_10 = {
    "mains": ({"k23"}, ("capacitors stay charged", "outputs only", "licensed")),
    "lithium": (
        {"k02", "k55", "k56"},
        (
            *("puncture", "bend", "heat", "below limits", "on test alone"),
            *("isolate", "call", "licensed route", "Transport"),
        ),
    ),
    "injection": (
        {"k24", "k51", "k53", "k54"},
        (
            *("volts before connecting", "limit low", "polarity twice"),
            *("never above nominal", "[Gg]lasses", "Hands off after 10 s"),
        ),
    ),
    "hot_air": (
        {"k61"},
        (
            *("300 to 400 °C", "fumes", "extraction", "batteries", "pre-heat"),
            *("shields", "wash hands"),
        ),
    ),
    "esd": (EVERY_CHECK - CLOSED, ("1 MΩ", "mat", "strap off")),
    "eyes": ({"k52", "k53", "k54"}, ("Eye protection",)),
    "cleaning": ({"k01", "k61"}, ("ventilate", "hot air", "dry before power")),
    "coin_cell": ({"k34"}, ("swallow", "counted")),
    "high_side": (
        {"k18", "k19", "k20"},
        ("power now would put the main rail on the processor",),
    ),
    "privacy": (
        {"k58", "k59", "k60"},
        (
            *("least access", "logged", "no browsing", "erased at closing"),
            *("written consent", "illegal", "stop", "owner acts", "local law"),
        ),
    ),
    "disk": (set[str](), ("flash", "chipset", "controller", "CPU", "encrypted")),
}
# What the other families add to the rows for checks of their own, and what falls
# away: the current of a desktop's CPU plug is no bench supply's.
MORE = {
    ("laptop_usbc", "mains"): {"k25"},
    ("laptop_usbc", "esd"): {"k09", "k10", "k25"},
    ("desktop_atx", "mains"): {"k03", "k32", "k43"},
    ("desktop_atx", "esd"): {"k08", "k43"},
}
LESS = {("desktop_atx", "injection"): {"k51"}}
# Not of section 10: the trade's own.
BESIDES = {"probe_slip"}


@pytest.mark.parametrize("code", SECTION_10)
def test_the_checks_of_each_row_carry_its_caution(code: str) -> None:
    carrying = {c.id for c in FAMILY.checks.values() if code in c.cautions}
    assert carrying == SECTION_10[code][0]


@pytest.mark.parametrize("family", ["laptop_usbc", "desktop_atx"])
@pytest.mark.parametrize("code", SECTION_10)
def test_so_do_those_of_the_other_families(code: str, family: str) -> None:
    checks = load_family(family).checks
    carrying = {one.id for one in checks.values() if code in one.cautions}
    taken_over = SECTION_10[code][0] & set(checks)
    expected = taken_over | MORE.get((family, code), set())
    assert carrying == expected - LESS.get((family, code), set())


@pytest.mark.parametrize("code", SECTION_10)
def test_the_words_say_all_that_the_row_says(code: str) -> None:
    words = str(cautions.CAUTIONS[code])
    assert [one for one in SECTION_10[code][1] if not re.search(one, words)] == []


def test_every_caution_is_audited() -> None:
    assert set(cautions.CAUTIONS) == set(SECTION_10) | BESIDES


# --- as shown -------------------------------------------------------------------


@pytest.mark.django_db
def test_every_card_shows_its_cautions_and_ends_with_whose_rules_come_first(
    board: Board,
) -> None:
    known = queries.known_of(board)
    for check in known.board.checks.values():
        shown = cards.lines(known, check, check.points[0])
        text = " ".join(line["text"] for line in shown)
        for code in check.cautions:
            assert str(cautions.CAUTIONS[code]) in text, check.id
        assert text.endswith(str(cautions.LOCAL_RULES)) is bool(check.cautions)


@pytest.mark.django_db
def test_a_bad_reading_says_its_checks_caution_once_more(
    read: Read, verdict_of: Callable[[Any], Judged]
) -> None:
    swollen = verdict_of(read("k02/pack", category="swollen"))
    said = cards.cautions_of_bad(swollen)
    assert said == [str(cautions.CAUTIONS["lithium"]), str(cautions.LOCAL_RULES)]
    flat = verdict_of(read("k02/pack", category="flat_cool_dry"))
    assert cards.cautions_of_bad(flat) == []


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("check", "cold", "rail_ohms"),
    [("k18/cpu.phase1", "k17/cpu.core", "4.3"), ("k20/sb.33.phase1", "k11/sb.33", "3")],
)
def test_a_failing_high_side_says_what_power_would_do(
    at_bench: Client,
    job: Ticket,
    board: Board,
    read: Read,
    check: str,
    cold: str,
    rail_ohms: str,
) -> None:
    for point, typed in (
        *(("k04/leads", "0.2"), ("k03/main", "0.00"), ("k03/mem.q", "0.00")),
        *(("k03/cpu.core", "0.00"), ("k06/main", "41k"), (cold, rail_ohms)),
    ):
        read(point, typed)
    shorted = read(check, "0.5")
    html = at_bench.get(page_of(job, board, reading=shorted.pk)).content.decode()
    assert "power now would put the main rail on the processor" in html
    assert str(cautions.LOCAL_RULES) in html


@pytest.mark.django_db
def test_the_form_for_work_done_carries_those_of_the_work(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    """Rework, cutting and lifting, cleaning, pack, adapter, the customer's data."""
    html = at_bench.get(page_of(job, board)).content.decode()
    form = html.partition("Record work done")[2].partition("Confirm the finding")[0]
    for code in ("hot_air", "eyes", "cleaning", "lithium", "mains", "privacy", "disk"):
        assert str(cautions.CAUTIONS[code]) in form, code
    assert form.count(str(cautions.LOCAL_RULES)) == 2


@pytest.mark.django_db
def test_the_counter_is_cautioned_where_passwords_and_data_come_up(
    client: Client, tomas: Any
) -> None:
    client.force_login(tomas)
    html = client.get(reverse("intake:ticket_new")).content.decode()
    assert str(cautions.CAUTIONS["privacy"]) in html
    assert str(cautions.LOCAL_RULES) in html
