"""USB-C laptops and desktops at the bench: gates, cards, taps, ladder, proof."""

from collections.abc import Callable
from datetime import timedelta
from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics import (
    calculator_facts,
    cards,
    ladders,
    passing,
    proof,
    queries,
    sayings,
)
from diagnostics import services as bench
from diagnostics.bridge import Judged
from diagnostics.calculator_facts import Facts
from diagnostics.engine.boards import FAMILY_IDS
from diagnostics.models import Board, Reading
from diagnostics.place import Place
from diagnostics.refusals import HeldOff
from diagnostics.words import cautions
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.kinds import Kind
from shop.records.models import Event
from tests.diagnostics.conftest import MORNING, Read
from tests.diagnostics.test_bench_page import keyed, page_of

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

PLUG = {
    "k04/leads": "0.2",
    "k03/atx.5sb": "0.00",
    "k03/atx.12cpu": "0.00",
    "k03/mem.q": "0.00",
    "k03/cpu.core": "0.00",
    "k08/atx.5sb": "820",
    "k08/atx.12": "3.1k",
    "k08/atx.12cpu": "9.4k",
    "k08/atx.5": "410",
    "k08/atx.33": "180",
    "k17/cpu.core": "160",
}
PORT = {
    "k04/leads": "0.2",
    "k03/main": "0.00",
    "k03/mem.q": "0.00",
    "k03/cpu.core": "0.00",
    "k06/main": "24k",
    "k06/main.in": "33k",
    "k10/c.vbus": "61k",
    "k11/sb.33": "388",
    "k11/sb.5": "1.6k",
    "k16/gfx.core": "2.9",
    "k17/cpu.core": "3.6",
}


def joined(job: Ticket, by: Person, family: str) -> Board:
    model = bench.board_model_keep(
        shop=job.shop, by=by, number=f"{family[:4]}-1", family=family
    )
    return bench.board_join(ticket=job, by=by, board_model=model, at=MORNING)


@pytest.fixture
def reader(job: Ticket, ines: Person) -> Callable[[Board], Read]:
    """Readings of a board one minute apart: the page judges by the clock of now."""

    def of(board: Board) -> Read:
        minutes = iter(range(600))
        begun = timezone.now() - timedelta(hours=2)

        def take(point_id: str, typed: str = "", **words: Any) -> Reading:
            at = begun + timedelta(minutes=next(minutes))
            fields: dict[str, Any] = {"board": board, "ticket": job, "by": ines}
            fields["taken_at"] = at
            return bench.reading_take(point_id=point_id, typed=typed, **fields | words)

        return take

    return of


@pytest.fixture
def desktop(job: Ticket, ines: Person) -> Board:
    return joined(job, ines, "desktop_atx")


@pytest.fixture
def port(job: Ticket, ines: Person) -> Board:
    return joined(job, ines, "laptop_usbc")


def judged(board: Board, reading: Reading) -> Judged:
    known = queries.known_of(board)
    return next(one for one in known.judged if one.reading.pk == reading.pk)


def word(board: Board, reading: Reading) -> str:
    return judged(board, reading).verdict.word.value


# --- gates on stored readings ---------------------------------------------------


def test_a_desktop_gets_no_power_before_its_plug_is_read(
    desktop: Board, reader: Callable[[Board], Read]
) -> None:
    read = reader(desktop)
    with pytest.raises(HeldOff) as refused:
        read("k43/atx.on", "0.1")
    assert "k08" in {hold.gate_id for hold in refused.value.holds}
    for point_id, typed in PLUG.items():
        read(point_id, typed)
    assert word(desktop, read("k43/atx.on", "0.1")) == "good"


def test_a_port_gets_no_contract_before_its_lines_are_read(
    port: Board, reader: Callable[[Board], Read]
) -> None:
    read = reader(port)
    for point_id, typed in PORT.items():
        read(point_id, typed)
    with pytest.raises(HeldOff) as refused:
        read("k25/c.vbus", "5.1", pattern={"kind": "steady"})
    assert {hold.gate_id for hold in refused.value.holds} == {"k09"}
    for line in ("c.cc1", "c.cc2"):
        read(f"k09/{line}", "0.61", polarity="red_on_ground")
    stuck = read("k25/contract", "5.1", pattern={"kind": "stuck_at_5_V"})
    assert word(port, stuck) == "unclear"


def test_lines_that_are_unlike_hold_the_contract_off(
    port: Board, reader: Callable[[Board], Read]
) -> None:
    read = reader(port)
    for point_id, typed in PORT.items():
        read(point_id, typed)
    first = read("k09/c.cc1", "0.62", polarity="red_on_ground")
    assert word(port, first) == "good"
    second = read("k09/c.cc2", "0.57", polarity="red_on_ground")
    assert (word(port, first), word(port, second)) == ("watch", "watch")
    assert "unlike_its_twin" in {r.code for r in judged(port, first).verdict.reasons}
    holds = passing.holds(queries.known_of(port), "k25")
    assert [(hold.gate_id, hold.reason.code) for hold in holds] == [
        ("k09", "gate_watch")
    ]
    again = read("k09/c.cc2", "0.61", polarity="red_on_ground")
    assert (word(port, first), word(port, again)) == ("good", "good")


# --- the CPU in or out ----------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "fitted", "said"),
    [("6.2", [], "watch"), ("6.2", ["cpu"], "good"), ("160", [], "good")],
)
def test_ohms_of_the_core_are_held_against_the_cpu_in_or_out(
    desktop: Board,
    reader: Callable[[Board], Read],
    typed: str,
    fitted: list[str],
    said: str,
) -> None:
    read = reader(desktop)
    for point_id in ("k04/leads", "k03/cpu.core"):
        read(point_id, PLUG[point_id])
    assert word(desktop, read("k17/cpu.core", typed, fitted=fitted)) == said


def test_0_v_without_a_cpu_leads_to_a_card_with_the_cpu_ticked(
    at_bench: Client, job: Ticket, desktop: Board, reader: Callable[[Board], Read]
) -> None:
    read = reader(desktop)
    for point_id, typed in PLUG.items():
        read(point_id, typed)
    empty = read("k48/cpu.core", "0.00")
    assert word(desktop, empty) == "unclear"
    html = at_bench.get(page_of(job, desktop, reading=empty.pk)).content.decode()
    assert "Again, with it in" in html
    card = page_of(job, desktop, check="k48", point="k48/cpu.core", settle="put_in")
    html = at_bench.get(card).content.decode()
    assert "Ticked below: what has to be in." in html
    box = html[html.index('name="fitted" value="cpu"') :].partition(">")[0]
    assert "checked" in box


def test_absent_minus_12_v_is_marked_in_one_tap(
    at_bench: Client, job: Ticket, desktop: Board, reader: Callable[[Board], Read]
) -> None:
    read = reader(desktop)
    for point_id, typed in PLUG.items():
        read(point_id, typed)
    absent = read("k44/atx.n12", "0.00")
    assert word(desktop, absent) == "unclear"
    html = at_bench.get(page_of(job, desktop, reading=absent.pk)).content.decode()
    assert "Mark as not fitted" in html


# --- what speaks of main speaks of each family's own ----------------------------


def test_12_v_is_main_for_injection(
    desktop: Board, reader: Callable[[Board], Read]
) -> None:
    known = queries.known_of(desktop)
    for point_id, is_main in (("k53/atx.12cpu", True), ("k53/mem.q", False)):
        settled = calculator_facts.settled("injection", Facts(known, point_id))
        assert ("is_main" in settled) is is_main


def test_a_converter_is_fed_by_what_feeds_its_rail(
    desktop: Board, port: Board, reader: Callable[[Board], Read]
) -> None:
    phase = Facts(queries.known_of(desktop), "k48/cpu.core")
    assert calculator_facts.filled("buck", phase)["input_volts"] == "12 V"
    standby = Facts(queries.known_of(port), "k32/sb.5")
    assert calculator_facts.filled("buck", standby)["input_volts"] == "11.1 V"
    no_rail = Facts(queries.known_of(port), "k01/top")
    assert calculator_facts.filled("buck", no_rail)["input_volts"] == "11.1 V"
    assert calculator_facts.filled("standby", no_rail)["supply_volts"] == "20 V"


# --- pages ----------------------------------------------------------------------


def test_every_family_can_be_chosen_for_a_new_board(
    at_bench: Client, job: Ticket
) -> None:
    page = reverse("diagnostics:board_join", args=[job.number])
    html = at_bench.get(page).content.decode()
    for family in FAMILY_IDS:
        assert f'value="{family}"' in html
    fields = keyed(number="TN-B2", family="desktop_atx", name="Tern tower")
    assert at_bench.post(page, fields).status_code == 302
    assert Board.objects.get().board_model.family == "desktop_atx"


@pytest.mark.parametrize(
    ("family", "checks"),
    [
        ("laptop_usbc", ["k09", "k10", "k25", "k06", "k44"]),
        ("desktop_atx", ["k08", "k43", "k44", "k47", "k18"]),
    ],
)
def test_the_cards_of_a_family_open(
    at_bench: Client, job: Ticket, ines: Person, family: str, checks: list[str]
) -> None:
    board = joined(job, ines, family)
    for check in checks:
        html = at_bench.get(page_of(job, board, check=check)).content.decode()
        name = sayings.family_text(queries.engine_board(board).check(check).name)
        assert name.lower() in unescape(html).lower()


@pytest.mark.parametrize("family", ["laptop_usbc", "desktop_atx"])
def test_every_card_shows_its_cautions(job: Ticket, ines: Person, family: str) -> None:
    known = queries.known_of(joined(job, ines, family))
    for check in known.board.checks.values():
        shown = cards.lines(known, check, check.points[0])
        text = " ".join(line["text"] for line in shown)
        for code in check.cautions:
            assert str(cautions.CAUTIONS[code]) in text, check.id
        assert text.endswith(str(cautions.LOCAL_RULES)) is bool(check.cautions)


def test_the_desktops_ladder_has_its_eight_stages(desktop: Board) -> None:
    drawn = ladders.bench(
        queries.known_of(desktop),
        Place(None, desktop),
        open_stage="power_in",
        in_hand=None,
        speaks={},
        walked={},
    )
    assert [stage["id"] for stage in drawn["stages"]] == (
        "power_in standby control sleep memory chipset graphics cpu".split()
    )


@pytest.mark.parametrize(
    ("family", "has_charge"),
    [("laptop_barrel", True), ("laptop_usbc", True), ("desktop_atx", False)],
)
def test_a_desktop_is_not_asked_for_its_battery(family: str, has_charge: bool) -> None:
    """Section 8: charge and battery are no items of a desktop's proof."""
    items = set(proof.required(proof.HandedIn(family)))
    assert ({"charge", "battery_run"} <= items) is has_charge
    assert ({"charge", "battery_run"} & items != set()) is has_charge
    assert "cold_start" in items


def test_the_proof_knows_every_family() -> None:
    assert set(FAMILY_IDS) == proof.ALL_FAMILIES


def test_a_way_of_failing_of_one_family_alone_has_its_name(
    job: Ticket, port: Board, ines: Person
) -> None:
    """The base knows the part, another family the way: both are asked."""
    told = Event(kind=Kind.SUSPECT_NAMED, codes={"part": "p.pdc", "mode": "cc_short"})
    assert sayings.code_name(told, "part", "p.pdc") == "USB-C port controller"
    assert sayings.code_name(told, "mode", "cc_short") == "shorted configuration pin"
    assert sayings.code_name(told, "mode", "burnt") is None
