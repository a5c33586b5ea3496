"""The proof of repair: its level, its sheet, and the ticket page's panel."""

import re
from io import BytesIO
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from diagnostics import panels, papers
from diagnostics import services as bench
from diagnostics.models import Board
from diagnostics.proof import ITEMS, Given, HandedIn, Level, level_of, required
from shop.intake.models import Ticket
from shop.people.models import Person
from tests.diagnostics.conftest import Read

pytestmark = pytest.mark.one_database

FULL = [
    Given("cold_start", "passed", count=5),
    Given("load_run", "passed", minutes=30),
    Given("sleep_wake", "passed", count=5),
    Given("charge", "passed"),
    Given("battery_run", "passed", minutes=10),
    Given("memory_test", "passed", count=1),
    Given("functions", "passed"),
]


def level(given: list[Given], family: str = "laptop_barrel") -> Level:
    return level_of(given, HandedIn(family))


# --- levels: the table of the domain brief, section 8 ---


def test_every_item_of_the_table_makes_a_full_proof() -> None:
    assert level(FULL) is Level.FULL
    assert set(required(HandedIn("laptop_barrel"))) == {one.item for one in FULL}
    assert set(required(HandedIn("laptop_barrel"))) | {"soak"} == set(ITEMS)


@pytest.mark.parametrize("missing", range(len(FULL)))
def test_without_one_item_it_is_not_full(missing: int) -> None:
    assert level(FULL[:missing] + FULL[missing + 1 :]) is not Level.FULL


def test_three_starts_ten_minutes_and_functions_are_the_short_proof() -> None:
    short = [
        Given("cold_start", "passed", count=3),
        Given("load_run", "passed", minutes=10),
        Given("functions", "passed"),
    ]
    assert level(short) is Level.SHORT
    assert level(short[:2]) is Level.OPEN
    assert level([Given("cold_start", "passed", count=2), *short[1:]]) is Level.OPEN


def test_the_newest_result_of_an_item_counts() -> None:
    failed = Given("memory_test", "failed")
    assert level([*FULL, failed]) is Level.OPEN
    assert level([failed, *FULL]) is Level.FULL


def test_waived_and_not_fitted_items_stand_in_the_way_of_nothing() -> None:
    without = [one for one in FULL if one.item not in {"charge", "battery_run"}]
    missing = [Given("charge", "not_fitted"), Given("battery_run", "waived")]
    assert level(without + missing) is Level.FULL


def test_a_desktop_has_no_battery_to_prove() -> None:
    without = [one for one in FULL if one.item not in {"charge", "battery_run"}]
    assert level(without, "desktop_atx") is Level.FULL
    assert level(without) is Level.SHORT


def test_a_board_of_no_known_family_owes_every_item() -> None:
    assert required(HandedIn()) == required(HandedIn("laptop_barrel"))
    assert level([], "") is Level.OPEN


# --- the page ---


def test_an_item_is_recorded_on_its_page(at_bench: Client, job: Ticket) -> None:
    url = reverse("diagnostics:proof", args=[job.number])
    fields = {"item": "cold_start", "result": "passed", "count": 5}
    key = {"idempotency_key": str(uuid4())}
    assert at_bench.post(url, fields | key).status_code == 302
    html = at_bench.get(url).content.decode()
    assert "Cold start from no power" in html
    assert "5 of 5" in html
    assert "Still to do: 10 min under load" in html


def test_waived_without_a_reason_keeps_the_form(at_bench: Client, job: Ticket) -> None:
    url = reverse("diagnostics:proof", args=[job.number])
    fields = {"item": "load_run", "result": "waived", "words": " "}
    fields["idempotency_key"] = str(uuid4())
    response = at_bench.post(url, fields)
    html = response.content.decode()
    assert response.status_code == 422
    assert "Waived needs a reason." in html
    assert not job.proof_items.exists()


# --- the sheet ---


@pytest.fixture
def repaired(read: Read, board: Board, job: Ticket, ines: Person) -> Ticket:
    for rail in ("main", "mem.q", "cpu.core"):
        read(f"k03/{rail}", "0.01")
    read("k04/leads", "0.2")
    read("k11/sb.33", "0.7")
    bench.intervention_do(
        board=board, ticket=job, by=ines, kind="replaced", part_id="p.csb", place="C7"
    )
    read("k11/sb.33", "410")
    bench.finding_confirm(
        board=board,
        ticket=job,
        by=ines,
        part_id="p.csb",
        mode_id="short",
        place="C7",
        is_proven=True,
    )
    bench.proof_item_record(
        ticket=job, by=ines, item="soak", result="waived", words="customer in a hurry"
    )
    return job


def test_the_sheet_tells_before_and_after_part_and_tests(repaired: Ticket) -> None:
    html = " ".join(papers.proof_sheet_html(repaired).split())
    for words in (
        f"Proof sheet {repaired.number}",
        "HR-14-MB",
        "C7",
        "proven by the repair",
        "Cold start the next day",
        "customer in a hurry",
        "The proof is not complete.",
        "down, shorted",
    ):
        assert words in html
    row = re.search(r"<tr>(?:(?!</tr>).)*sb\.33</b>.*?</tr>", html)
    assert row is not None
    assert re.search(r"(?i)0\.5\s*Ω.*bad.*410\s*Ω.*good", row.group())


def test_the_sheet_is_one_pdf_and_the_same_bytes_each_time(repaired: Ticket) -> None:
    first = papers.proof_sheet(repaired)
    assert papers.proof_sheet(repaired) == first
    reader = PdfReader(BytesIO(first))
    text = "\n".join(page.extract_text() for page in reader.pages)
    assert f"Proof sheet {repaired.number}" in text
    assert len(reader.pages) <= 2


def test_hostile_text_stays_text_on_the_sheet(
    repaired: Ticket, board: Board, ines: Person
) -> None:
    nasty = '<img src="file:///etc/passwd">\u202eقطة 🔌'
    bench.proof_item_record(
        ticket=repaired, by=ines, item="soak", result="waived", words=nasty
    )
    html = papers.proof_sheet_html(repaired)
    assert "<img" not in html
    assert papers.proof_sheet(repaired).startswith(b"%PDF")


def test_the_sheet_is_for_everybody_in_the_shop(
    repaired: Ticket, tomas: Person, client: Client
) -> None:
    client.force_login(tomas)
    url = reverse("diagnostics:proof_sheet", args=[repaired.number])
    response = client.get(url)
    assert response["Content-Type"] == "application/pdf"
    assert response.status_code == 200


# --- the ticket page's panel ---


def test_the_panel_shows_the_twin_ladder_and_the_finding(
    repaired: Ticket, ines: Person, tomas: Person
) -> None:
    html = panels.panel(repaired, ines)
    assert "as it came" in html
    assert "proven by the repair" in html
    assert reverse("diagnostics:proof_sheet", args=[repaired.number]) in html
    assert "To the bench" in html
    assert "To the bench" not in panels.panel(repaired, tomas)


def test_a_ticket_without_a_board_says_so(job: Ticket, ines: Person) -> None:
    html = panels.panel(job, ines)
    assert "No board is named yet." in html
    assert reverse("diagnostics:board_join", args=[job.number]) in html
