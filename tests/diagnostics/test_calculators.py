"""The bench calculators: filled in from the check, tried, kept, stored as readings."""

from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import DatabaseError, transaction
from django.test import Client
from django.utils import timezone

from diagnostics import calculator_facts, queries
from diagnostics import services as bench
from diagnostics.engine.calculators.registry import CALCULATORS
from diagnostics.engine.quantities import parse
from diagnostics.models import Board, BoardModel, Calculation, Origin, Reading
from diagnostics.place import Place
from diagnostics.refusals import OtherContents
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from tests.diagnostics.conftest import Read
from tests.factories import TicketFactory

pytestmark = pytest.mark.one_database

SENSE = {"drop_volts": "18,5 mV", "ohms": "10 mΩ", "resolution_volts": "0.1 mV"}
STEP = {
    "nominal_volts": "19 V",
    "ohms": "0.21",
    "set_volts": "1",
    "set_amperes": "2 A",
    "last_amperes": "1.5 A",
    "seconds": "30 s",
    "board_kind": "thin",
    "is_main": "on",
    "is_pack_out": "on",
    "is_adapter_out": "on",
    "are_modules_out": "on",
    "resolution_volts": "1 mV",
    "points": "447\n441\n434\nC-a: 429\nC-b: 431 mV",
}
COLD = {
    "k17/cpu.core": "4.1",
    "k16/gfx.core": "1.9",
    "k06/main": "41k",
    "k06/main.in": "41k",
    "k11/sb.33": "410",
    "k11/sb.5": "2.3k",
}


@pytest.fixture
def place(job: Ticket, board: Board) -> Place:
    return Place(job, board)


def keyed(**fields: str) -> dict[str, str]:
    return {"idempotency_key": str(uuid4()), "uuid": str(uuid4()), **fields}


def html_of(client: Client, url: str, status: int = 200) -> str:
    response = client.get(url)
    assert response.status_code == status
    return plain(response.content.decode())


def plain(html: str) -> str:
    return html.replace("\N{NO-BREAK SPACE}", " ")


def gates_pass(read: Read) -> None:
    """Power gone, and main so far above the cores that no high side is shorted."""
    for rail in ("main", "mem.q", "cpu.core"):
        read(f"k03/{rail}", "0.01", taken_at=timezone.now())
    read("k04/leads", "0.2", taken_at=timezone.now())
    for point, typed in COLD.items():
        read(point, typed, taken_at=timezone.now(), is_four_wire="core" in point)


# --- looking ---


def test_all_fourteen_are_listed(at_bench: Client, place: Place) -> None:
    html = html_of(at_bench, place.calculators_url)
    for calculator in CALCULATORS.values():
        assert calculator.name in html
        assert f'href="{place.calculator_url(calculator.id)}"' in html


@pytest.mark.parametrize("calculator_id", CALCULATORS)
def test_each_has_a_page_with_its_inputs(
    at_bench: Client, place: Place, calculator_id: str
) -> None:
    html = html_of(at_bench, place.calculator_url(calculator_id))
    for one in CALCULATORS[calculator_id].inputs:
        assert (f'name="{one.name}"' in html) is (one.name != "high_side")
    assert "Work it out" in html
    form = html.partition('method="get" action="#result"')[2].partition("</form>")[0]
    assert form
    assert 'name="csrfmiddlewaretoken"' not in form


def test_a_calculator_that_there_is_not(at_bench: Client, place: Place) -> None:
    assert at_bench.get(place.calculator_url("abacus")).status_code == 404


def test_a_check_offers_the_calculator_that_serves_it(
    at_bench: Client, place: Place, read: Read
) -> None:
    gates_pass(read)
    html = html_of(at_bench, place.url(check="k17"))
    link = place.calculator_url("low_ohms", point="k17/cpu.core").replace("&", "&amp;")
    assert f'href="{link}"' in html
    assert "Low ohms" in html
    assert "Reckon it" not in html_of(at_bench, place.url(check="k01"))


def test_injection_shows_its_caution_and_its_limits(
    at_bench: Client, place: Place
) -> None:
    html = html_of(at_bench, place.calculator_url("injection"))
    for words in ("never above nominal", "Local codes", "Current on thin boards"):
        assert words in html


# --- filled in ---


def test_the_hunt_is_filled_in_from_the_board(
    at_bench: Client, place: Place, read: Read
) -> None:
    gates_pass(read)
    read("k06/main", "0.4", taken_at=timezone.now())
    html = html_of(at_bench, place.calculator_url("injection", point="k53/main"))
    for value in ("18.8 V", "0.2 Ω", "1 V", "500 mA"):
        assert f'value="{value}"' in html
    assert 'name="is_main" value="on" id="id_is_main" checked' in html
    assert "Back to k53" in html


def test_the_next_step_follows_the_last_one_stored(
    board: Board, read: Read, place: Place
) -> None:
    gates_pass(read)
    read("k53/main", "429 mV", supply_volts=1.0, supply_limit_amps=0.5)
    facts = calculator_facts.Facts(queries.known_of(board), "k53/main", None)
    typed = calculator_facts.filled("injection", facts)
    assert (typed["last_amperes"], typed["set_amperes"]) == ("500 mA", "1 A")
    elsewhere = calculator_facts.Facts(queries.known_of(board), "k53/sb.33", None)
    assert calculator_facts.filled("injection", elsewhere)["last_amperes"] == ""


def test_low_ohms_has_the_leads_of_today(
    at_bench: Client, place: Place, read: Read
) -> None:
    read("k04/leads", "0.23", taken_at=timezone.now())
    html = html_of(at_bench, place.calculator_url("low_ohms", point="k17/cpu.core"))
    assert 'name="leads_ohms" value="0.23 Ω"' in html


def test_what_else_the_readings_tell(board: Board, read: Read) -> None:
    gates_pass(read)
    read("k07/main", "0.453", polarity="red_on_ground")
    read("k21/sense", "10.1 mΩ", is_four_wire=True)
    known = queries.known_of(board)

    def filled(calculator_id: str, point_id: str) -> dict[str, str]:
        facts = calculator_facts.Facts(known, point_id, None)
        return calculator_facts.filled(calculator_id, facts)

    diode = filled("diode_check", "k07/main")
    assert (diode["ohms"], diode["diode_volts"]) == ("41 kΩ", "0.453 V")
    assert filled("sense", "k55/charge")["ohms"] == "10.1 mΩ"
    assert filled("buck", "k33/sb.33.phase1")["output_volts"] == "3.3 V"
    assert "1.2 V" in filled("divider", "k28/chg.detect")["rail_volts"]
    assert filled("standby", "k24/supply")["supply_volts"] == "19 V"
    assert filled("discharge", "k03/main")["start_volts"] == "10 mV"
    assert filled("mosfet_drop", "")["amperes"] == ""
    assert filled("pack", "k56/health")["full"] == ""


def test_every_value_filled_in_can_be_typed(board: Board, read: Read) -> None:
    gates_pass(read)
    known = queries.known_of(board)
    for calculator in CALCULATORS.values():
        for point_id in ("", "k53/main", "k33/sb.5.phase1", "k18/cpu.phase1"):
            facts = calculator_facts.Facts(known, point_id, 0.2)
            typed = calculator_facts.filled(calculator.id, facts)
            for one in calculator.inputs:
                if one.kind == "number" and typed[one.name]:
                    assert parse(typed[one.name], one.unit).value is not None


# --- tried: nothing is kept ---


def test_trying_shows_the_result_and_why_and_keeps_nothing(
    at_bench: Client, place: Place
) -> None:
    html = html_of(at_bench, place.calculator_url("sense", **SENSE))
    assert "<output>1.85 A</output>" in html
    assert "34.22 mW" in html
    assert "One digit of the meter, 100 µV, stands for 10 mA." in html
    assert 'value="18,5 mV"' in html
    assert not Calculation.objects.exists()
    assert not Reading.objects.exists()


@pytest.mark.parametrize(
    ("calculator_id", "typed", "sentence"),
    [
        (
            "divider",
            {
                "top_ohms": "10k",
                "bottom_ohms": "0",
                "resistor_tolerance": "1 %",
                "reference_tolerance": "1 %",
            },
            "“Resistor below, to ground” must be more than nought.",
        ),
        ("marking", {"text": "97Q"}, "“97Q” is no resistor marking known here."),
        ("sense", {**SENSE, "ohms": "-1"}, "Ohms are never below nought."),
        ("sense", {**SENSE, "drop_volts": ""}, "“Drop across it” is needed here."),
        ("sense", {**SENSE, "drop_volts": "5 Ω"}, "read in volts; 5 Ω looks like ohms"),
        ("sense", {**SENSE, "drop_volts": "9" * 5000}, "That is too long"),
    ],
)
def test_a_wrong_entry_is_refused_beside_its_field_and_kept_as_typed(
    at_bench: Client,
    place: Place,
    calculator_id: str,
    typed: dict[str, str],
    sentence: str,
) -> None:
    html = html_of(at_bench, place.calculator_url(calculator_id, **typed), status=422)
    assert sentence in html
    assert 'class="wrong"' in html
    assert all(f'value="{text}"' in html for text in typed.values() if text)
    assert "<output>" not in html


def test_a_script_in_an_entry_stays_text(at_bench: Client, place: Place) -> None:
    url = place.calculator_url("marking", text="<script>alert(1)</script>")
    assert "<script>alert" not in html_of(at_bench, url, status=422)


# --- kept ---


def test_a_calculation_is_kept_with_all_that_it_was_made_from(
    at_bench: Client, place: Place, ines: Person
) -> None:
    page = at_bench.post(place.calculator_url("sense"), keyed(**SENSE))
    kept = Calculation.objects.get()
    assert page["Location"] == place.calculators_url
    assert (kept.board, kept.ticket, kept.by) == (place.board, place.ticket, ines)
    assert kept.typed == SENSE
    assert kept.inputs == pytest.approx(
        {"drop_volts": 0.0185, "ohms": 0.01, "resolution_volts": 1e-4}
    )
    assert kept.result["amperes"] == pytest.approx(1.85)
    assert kept.reasons[0]["code"] == "one_digit_is"
    assert (kept.reading, kept.engine_version) == (None, "1")


def test_what_is_kept_is_listed_with_who_and_can_be_opened(
    at_bench: Client, place: Place
) -> None:
    at_bench.post(place.calculator_url("sense"), keyed(**SENSE))
    for url in (place.url(), place.calculators_url):
        html = html_of(at_bench, url)
        assert "Sense resistor <strong>1.85 A</strong>" in html
        assert "Ines Okafor" in html
        again = place.calculator_url("sense", **SENSE).replace("&", "&amp;")
        assert f'href="{again}"' in html


def test_kept_beside_a_check_it_goes_back_there(at_bench: Client, place: Place) -> None:
    fields = keyed(point="k55/charge", **SENSE)
    page = at_bench.post(place.calculator_url("sense"), fields)
    assert page["Location"] == place.url(check="k55", point="k55/charge")
    assert Calculation.objects.get().point_id == "k55/charge"


def test_without_a_result_nothing_is_kept(at_bench: Client, place: Place) -> None:
    fields = keyed(**{**SENSE, "ohms": "0"})
    page = at_bench.post(place.calculator_url("sense"), fields)
    assert page.status_code == 422
    html = page.content.decode()
    assert html.count("must be more than nought") == 1
    assert 'value="18,5 mV"' in html
    assert not Calculation.objects.exists()


def test_of_a_reference_board_without_a_ticket(
    at_bench: Client, heron: BoardModel, ines: Person
) -> None:
    good = bench.reference_board_keep(
        board_model=heron, by=ines, origin=Origin.KNOWN_GOOD, serial="KG-1"
    )
    place = Place(None, good)
    at_bench.post(place.calculator_url("sense"), keyed(**SENSE))
    assert Calculation.objects.get().ticket is None
    assert "1.85 A" in html_of(at_bench, place.url())


def test_the_same_twice_is_kept_once(
    at_bench: Client, place: Place, ines: Person
) -> None:
    fields = keyed(**SENSE)
    for _twice in range(2):
        at_bench.post(place.calculator_url("sense"), fields)
    again = {**fields, "idempotency_key": str(uuid4())}
    assert at_bench.post(place.calculator_url("sense"), again).status_code == 302
    assert Calculation.objects.count() == 1
    with pytest.raises(OtherContents):
        keep(place, ines, uuid=UUID(fields["uuid"]), typed={**SENSE, "ohms": "5 mΩ"})


def keep(place: Place, by: Person, **asked: Any) -> Calculation:
    given: dict[str, Any] = {"calculator_id": "sense", "typed": SENSE}
    return bench.calculation_keep(
        board=place.board, ticket=place.ticket, by=by, **given | asked
    )


def test_a_kept_calculation_is_never_changed(place: Place, ines: Person) -> None:
    kept = keep(place, ines)
    rows = Calculation.objects.filter(pk=kept.pk)
    with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
        rows.update(calculator_id="buck")
    with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
        rows.delete()


def test_a_tick_keeps_no_text_and_unknown_fields_nothing(
    place: Place, ines: Person
) -> None:
    typed = {"drop_volts": "9 mV; 9 mV", "dcr_ohms": "1 mΩ", "is_steady_load": "x" * 99}
    kept = keep(place, ines, calculator_id="phases", typed={**typed, "more": "y"})
    assert kept.typed == {**typed, "is_steady_load": "on"}


# --- stored as a reading ---


def test_four_wire_ohms_become_a_reading_once_and_are_judged(
    at_bench: Client, place: Place
) -> None:
    typed = {"spread_ohms": "0.05", "amperes": "1.000 A", "drop_volts": "10,0 mV"}
    url = place.calculator_url("low_ohms", point="k21/sense", **typed)
    assert "Store 10 mΩ as a reading of k21" in html_of(at_bench, url)
    fields = keyed(point="k21/sense", store="ohms", **typed)
    for _twice in range(2):
        page = at_bench.post(place.calculator_url("low_ohms"), fields)
    reading = Reading.objects.get()
    assert page["Location"] == place.url(reading=reading.pk)
    assert Calculation.objects.get().reading == reading
    assert (reading.typed, reading.value) == ("10.0\N{NO-BREAK SPACE}mΩ", 0.01)
    assert reading.is_four_wire
    assert "<strong>Good</strong>" in html_of(at_bench, page["Location"])
    assert "stored as a reading" in html_of(at_bench, place.url())


def test_two_wires_are_stored_as_shown_with_their_leads(
    place: Place, ines: Person
) -> None:
    typed = {"shown_ohms": "4.3", "leads_ohms": "0.2", "spread_ohms": "0.05"}
    asked = {"point_id": "k15/cs.core", "store": "ohms", "typed": typed}
    reading = keep(place, ines, calculator_id="low_ohms", **asked).reading
    assert reading is not None
    assert (reading.typed, reading.value, reading.lead_ohms) == ("4.3", 4.3, 0.2)


def test_each_pack_figure_goes_to_its_own_point(
    place: Place, ines: Person, read: Read
) -> None:
    gates_pass(read)
    typed = {"full": "38.4 Wh", "design": "50 Wh", "cell_volts": "4.10 V\n4.07 V"}
    for store, point in (("percent", "k56/health"), ("spread_volts", "k56/spread")):
        asked = {"point_id": "k56/health", "store": store, "typed": typed}
        reading = keep(place, ines, calculator_id="pack", **asked).reading
        assert reading is not None
        assert reading.point_id == point


def test_a_result_that_is_no_reading_is_not_stored(
    at_bench: Client, place: Place
) -> None:
    for store, point in (("watts", "k55/charge"), ("amperes", "k27/main"), ("x", "")):
        fields = keyed(point=point, store=store, **SENSE)
        page = at_bench.post(place.calculator_url("sense"), fields)
        assert page.status_code == 422
        assert "no reading of that check" in page.content.decode()
    assert not Calculation.objects.exists()


def test_gates_hold_the_reading_and_then_nothing_is_kept(
    at_bench: Client, place: Place
) -> None:
    """The charge current waits for the pack's own gate."""
    fields = keyed(point="k55/charge", store="amperes", **SENSE)
    page = at_bench.post(place.calculator_url("sense"), fields)
    assert page.status_code == 422
    assert "Held off" in page.content.decode()
    assert not Calculation.objects.exists()
    assert not Reading.objects.exists()


# --- current injection ---


def test_the_hunt_of_case_a(at_bench: Client, place: Place, read: Read) -> None:
    """Brief, sections 7.5 and 12: 0.42 V, 0.84 W, the fourth of five points."""
    gates_pass(read)
    url = place.calculator_url("injection", point="k53/main", **STEP)
    html = html_of(at_bench, url)
    for words in ("<output>0.429 V</output>", "0.84 W", "Point 4 (C-a) reads lowest"):
        assert words in html
    fields = keyed(point="k53/main", store="lowest_volts", **STEP)
    at_bench.post(place.calculator_url("injection"), fields)
    reading = Reading.objects.get(check_id="k53")
    assert (reading.value, reading.supply_volts, reading.supply_limit_amps) == (
        0.429,
        1.0,
        2.0,
    )


def test_into_main_it_is_refused_while_k18_is_unread(
    at_bench: Client, place: Place
) -> None:
    html = html_of(at_bench, place.calculator_url("injection", **STEP), status=422)
    assert "Refused: nothing settled says yet" in html


def test_into_main_it_is_refused_while_k18_is_bad(
    at_bench: Client, place: Place, read: Read
) -> None:
    """41 kohm on main would pass by arithmetic; read across, a phase is shorted."""
    gates_pass(read)
    for phase in ("k18/cpu.phase1", "k18/cpu.phase2"):
        read(phase, "0.3", taken_at=timezone.now())
    url = place.calculator_url("injection", point="k53/main", **STEP)
    assert "Refused: a high side is shorted" in html_of(at_bench, url, status=422)
    fields = keyed(point="k53/main", store="lowest_volts", **STEP)
    page = at_bench.post(place.calculator_url("injection"), fields)
    assert page.status_code == 422
    assert not Calculation.objects.exists()
    assert not Reading.objects.filter(check_id="k53").exists()


@pytest.mark.parametrize("spoof", [{"high_side": "passed"}, {"is_main": ""}])
def test_what_the_board_tells_can_not_be_typed_over(
    at_bench: Client, place: Place, spoof: dict[str, str]
) -> None:
    url = place.calculator_url("injection", point="k53/main", **{**STEP, **spoof})
    assert "Refused" in html_of(at_bench, url, status=422)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"is_pack_out": ""}, "Not before this is ticked: “Battery pack is out”."),
        ({"set_volts": "18 V"}, "At most 17.1 V here"),
        ({"set_amperes": "2.5 A"}, "At most 2 A here"),
        ({"seconds": "45"}, "“Time of this step” can be at most 30 s."),
        ({"points": "447\n441"}, "Are the points in millivolts?"),
    ],
)
def test_beyond_a_limit_it_is_refused_in_words(
    at_bench: Client, place: Place, read: Read, changed: dict[str, str], words: str
) -> None:
    gates_pass(read)
    url = place.calculator_url("injection", **{**STEP, **changed})
    assert words in html_of(at_bench, url, status=422)


@pytest.mark.parametrize(
    ("point_id", "typed", "volts", "amperes", "field"),
    [
        ("k53/main", "429 mV", 16.9, 5.0, None),
        ("k53/main", "429 mV", 16.9, 5.1, "supply_limit_amps"),
        ("k53/main", "429 mV", 18.8, 1.0, "supply_volts"),
        ("k53/cs.core", "40 mV", 1.0, 1.0, "supply_volts"),
        ("k54/warmest", "18", 19.0, 1.0, None),
    ],
)
def test_no_injected_reading_is_kept_beyond_the_limits_of_any_step(
    read: Read,
    point_id: str,
    typed: str,
    volts: float,
    amperes: float,
    field: str | None,
) -> None:
    gates_pass(read)
    set_to = {"supply_volts": volts, "supply_limit_amps": amperes}
    if field is None:
        assert read(point_id, typed, **set_to).pk
        return
    with pytest.raises(Refused) as refused:
        read(point_id, typed, **set_to)
    assert refused.value.field == field


# --- whose board ---


def test_another_tickets_board_is_not_found(
    at_bench: Client, board: Board, tomas: Person
) -> None:
    other = Place(TicketFactory.create(by=tomas), board)
    for url in (other.calculators_url, other.calculator_url("sense")):
        assert at_bench.get(url).status_code == 404
    posted = at_bench.post(other.calculator_url("sense"), keyed(**SENSE))
    assert posted.status_code == 404
