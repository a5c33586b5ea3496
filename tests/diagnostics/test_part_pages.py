"""The pages of part tests: begun, one step at a time, and what came of it."""

import string
from collections.abc import Callable
from uuid import uuid4

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st
from pytest_django import DjangoAssertNumQueries

from diagnostics import part_drawing, part_page, part_words, services
from diagnostics.engine.guided import Ask, Mode
from diagnostics.engine.packages import MAPS, Channel, Outline, Seat, Setup
from diagnostics.models import Board, PartTest
from diagnostics.words import part_steps
from shop.intake.models import Ticket
from shop.people.models import Person
from tests.diagnostics.conftest import Read
from tests.engine.playing import SETUPS, played

pytestmark = pytest.mark.one_database

Post = Callable[..., HttpResponse]
BEGIN = {
    "kind": "mosfet",
    "label": "left of the second coil",
    "outline": "eight",
    "channel": "n",
    "mount": "lifted",
    "seat": "anywhere",
}


def url(name: str, board: Board, job: Ticket, *more: int) -> str:
    return reverse(f"diagnostics:{name}", args=[job.number, board.pk, *more])


def post(client: Client, address: str, **fields: str) -> HttpResponse:
    key = {"idempotency_key": str(uuid4())}
    return client.post(address, {**key, **fields})  # type: ignore[return-value]


def seen(client: Client, address: str) -> str:
    return " ".join(client.get(address).content.decode().split())


def text(response: HttpResponse) -> str:
    return " ".join(response.content.decode().split())


@pytest.fixture
def begun(at_bench: Client, board: Board, job: Ticket) -> PartTest:
    response = post(at_bench, url("part_test_new", board, job), **BEGIN)
    assert response.status_code == 302
    return PartTest.objects.get()


def step(client: Client, test: PartTest, name: str, typed: str) -> HttpResponse:
    assert test.ticket is not None
    address = url("part_step", test.board, test.ticket, test.pk)
    return post(client, address, step=name, typed=typed)


def shown(client: Client, test: PartTest) -> str:
    assert test.ticket is not None
    return seen(client, url("part_test", test.board, test.ticket, test.pk))


def test_the_bench_page_leads_to_it(
    at_bench: Client, board: Board, job: Ticket
) -> None:
    page = seen(at_bench, url("board", board, job))
    assert url("part_test_new", board, job) in page
    assert url("controller", board, job) in page


def test_one_step_at_a_time_to_its_verdict(at_bench: Client, begun: PartTest) -> None:
    page = shown(at_bench, begun)
    assert "Are the source pins joined?" in page
    assert "red on pin 1, black on each of pin 2 or 3" in page
    assert "Eye protection" in page
    for name, typed in (("source_joined", "0.1"), ("drain_joined", "0.2")):
        assert step(at_bench, begun, name, typed).status_code == 302
    assert "Join gate and source with tweezers" in shown(at_bench, begun)
    step(at_bench, begun, "discharge", "done")
    page = shown(at_bench, begun)
    assert "red on source (pin 1, 2 or 3), black on drain (pin 5, 6, 7 or 8)" in page
    assert "0.30 to 0.75 V" in page
    step(at_bench, begun, "forward", "0.002")
    step(at_bench, begun, "reverse", "0.003")
    page = shown(at_bench, begun)
    assert "<strong>Bad</strong> left of the second coil" in page
    assert "both ways: shorted" in page
    assert "Row m3 of the table" in page


def test_the_bench_page_lists_the_tests_with_their_words(
    at_bench: Client, begun: PartTest, board: Board, job: Ticket, ines: Person
) -> None:
    page = seen(at_bench, url("board", board, job))
    assert "left of the second coil" in page
    assert "Not settled yet" in page
    services.intervention_do(board=board, ticket=job, by=ines, kind="cleaned")
    page = seen(at_bench, url("board", board, job))
    assert "before later work" in page
    assert "after this test began" in shown(at_bench, begun)


@pytest.mark.parametrize("count", [1, 8])
def test_the_bench_page_asks_for_all_tests_at_once(
    at_bench: Client,
    board: Board,
    job: Ticket,
    ines: Person,
    count: int,
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    for number in range(count):
        test = services.part_test_start(
            board=board, ticket=job, by=ines, label=f"coil {number}"
        )
        services.part_step_take(test=test, by=ines, step="power_gone", typed="done")
    at_bench.get(url("board", board, job))
    with django_assert_num_queries(BENCH_QUERIES):
        seen(at_bench, url("board", board, job))


# One more than the bench page alone asks (test_bench_page.py): the tests' steps.
BENCH_QUERIES = 66


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("-3", "never below nought"),
        ("0.4 V", "looks like volts"),
        ("", "Type what the meter shows"),
        ("climbing", "settled value"),
        ("<img src=x>", "can’t read this as a value"),
        ("9" * 300, "at most 40 characters"),
    ],
)
def test_bad_input_stays_beside_its_field(
    at_bench: Client, begun: PartTest, typed: str, said: str
) -> None:
    response = step(at_bench, begun, "source_joined", typed)
    assert response.status_code == 422
    page = text(response)
    assert said in page
    assert "<img" not in page
    assert not begun.steps.exists()


def test_a_step_sent_twice_is_taken_once(
    at_bench: Client, begun: PartTest, board: Board, job: Ticket
) -> None:
    address = url("part_step", board, job, begun.pk)
    fields = {"step": "source_joined", "typed": "0.1", "idempotency_key": "k" * 20}
    first, again = at_bench.post(address, fields), at_bench.post(address, fields)
    assert first.status_code == again.status_code == 302
    assert begun.steps.count() == 1


def test_the_wrong_step_is_said_beside_the_right_one(
    at_bench: Client, begun: PartTest
) -> None:
    response = step(at_bench, begun, "forward", "0.4")
    assert response.status_code == 422
    assert "Another step is asked now" in text(response)


def test_taken_back_it_asks_again(
    at_bench: Client, begun: PartTest, board: Board, job: Ticket
) -> None:
    back = url("part_step_back", board, job, begun.pk)
    response = post(at_bench, back)
    assert response.status_code == 422
    assert "no step to take back" in text(response)
    step(at_bench, begun, "source_joined", "0.1")
    assert post(at_bench, back).status_code == 302
    assert "Are the source pins joined?" in shown(at_bench, begun)


def test_a_tap_stands_for_what_is_typed(
    at_bench: Client, begun: PartTest, board: Board, job: Ticket
) -> None:
    address = url("part_step", board, job, begun.pk)
    post(at_bench, address, step="source_joined", tap="OL")
    page = shown(at_bench, begun)
    assert "No verdict: do it again" in page
    assert "Row m14" in page


# --- begun ---


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"label": ""}, "required"),
        ({"label": "x" * 81}, "80 characters"),
        ({"outline": "round"}, "Select a valid choice"),
        ({"outline": "dual", "die": "3"}, "Select a valid choice"),
        ({"outline": "own"}, "Type pins as numbers"),
        (
            {"outline": "own", "gate": "1", "source": "1-3", "drain": "8"},
            "two things at once",
        ),
        ({"meter": "99999"}, "Select a valid choice"),
    ],
)
def test_a_part_described_wrongly_is_not_begun(
    at_bench: Client, board: Board, job: Ticket, changed: dict[str, str], said: str
) -> None:
    response = post(at_bench, url("part_test_new", board, job), **(BEGIN | changed))
    assert response.status_code == 422
    assert said in text(response)
    assert not PartTest.objects.exists()


def test_an_own_map_is_taken_as_typed(
    at_bench: Client, board: Board, job: Ticket
) -> None:
    own = {"outline": "own", "gate": "1", "source": "2-3", "drain": "7 8"}
    post(at_bench, url("part_test_new", board, job), **(BEGIN | own))
    kept = PartTest.objects.get().setup["own"]
    assert kept == {"gate": [1], "source": [2, 3], "drain": [7, 8]}


def test_the_same_part_again_begins_with_what_is_known(
    at_bench: Client, board: Board, job: Ticket, ines: Person
) -> None:
    dual = Setup(Outline.DUAL, Channel.P, is_lifted=False, seat=Seat.HIGH_SIDE)
    test = services.part_test_start(
        board=board, ticket=job, by=ines, label="by the jack", setup=dual
    )
    address = url("part_test_new", board, job)
    page = at_bench.get(f"{address}?like={test.pk}&die=2&mount=lifted")
    first = page.context["mosfet"].initial
    assert first["label"] == "by the jack"
    assert (first["outline"], first["channel"]) == ("dual", "p")
    assert (first["die"], first["mount"]) == ("2", "lifted")
    for wrong in ("²", "-1", "9" * 40, "x"):
        assert at_bench.get(address, {"like": wrong}).status_code == 200


def test_a_chip_is_told_and_leads_on(
    at_bench: Client, board: Board, job: Ticket
) -> None:
    begin = {"kind": "chip", "label": "beside the controller"}
    response = post(at_bench, url("part_test_new", board, job), **begin)
    test = PartTest.objects.get()
    assert response.status_code == 302
    assert "below 0.1 V on each" in shown(at_bench, test)
    step(at_bench, test, "power_gone", "done")
    assert "Are pins 1 to 3 joined?" in shown(at_bench, test)
    step(at_bench, test, "source_joined", "0.1")
    step(at_bench, test, "drain_joined", "0.1")
    page = shown(at_bench, test)
    assert "Likely a MOSFET" in page
    assert "Test it as a MOSFET" in page
    assert f"like={test.pk}" in page
    again = url("part_test_new", board, job) + f"?like={test.pk}&outline=eight"
    assert 'value="beside the controller"' in seen(at_bench, again)


def test_a_chip_without_a_label_is_refused_in_its_own_form(
    at_bench: Client, board: Board, job: Ticket
) -> None:
    response = post(at_bench, url("part_test_new", board, job), kind="chip", label="")
    assert response.status_code == 422
    assert 'id="chip_label"' in text(response)


def test_what_the_board_has_read_stands_beside_the_question(
    at_bench: Client, board: Board, job: Ticket, ines: Person, read: Read
) -> None:
    for rail in ("main", "mem.q", "cpu.core"):
        read(f"k03/{rail}", "0.01")
    read("k04/leads", "0.2")
    read("k17/cpu.core", "4.0")
    setup = Setup(Outline.THREE, Channel.N, is_lifted=False, seat=Seat.LOW_SIDE)
    test = services.part_test_start(
        board=board, ticket=job, by=ines, label="low side", setup=setup
    )
    for name, typed in (
        ("power_gone", "done"),
        ("discharge", "done"),
        ("forward", "0.004"),
        ("reverse", "0.004"),
        ("gate_source", "22k"),
        ("gate_source_back", "22k"),
        ("gate_drain", "22k"),
        ("gate_drain_back", "22k"),
    ):
        assert step(at_bench, test, name, typed).status_code == 302
    page = shown(at_bench, test).replace("\N{NO-BREAK SPACE}", " ")
    assert "Last read on this board: CPU core, 3.8 Ω (check k17)." in page
    step(at_bench, test, "core_ohms", "4.2")
    page = shown(at_bench, test)
    assert "Not evidence of a fault" in page
    assert "mark-verdict-unclear" in page


def test_a_part_to_lift_says_its_cautions(
    at_bench: Client, board: Board, job: Ticket, ines: Person
) -> None:
    setup = Setup(Outline.THREE, Channel.N, is_lifted=False)
    test = services.part_test_start(
        board=board, ticket=job, by=ines, label="by the jack", setup=setup
    )
    for name in ("power_gone", "discharge"):
        step(at_bench, test, name, "done")
    step(at_bench, test, "forward", "0.4")
    step(at_bench, test, "reverse", "OL")
    step(at_bench, test, "gate_source", "3 Ω")
    page = shown(at_bench, test)
    assert "Likely bad" in page
    assert "Eye protection" in page
    assert "mount=lifted" in page


def test_a_reference_board_is_tested_without_a_ticket(
    at_bench: Client, board: Board, job: Ticket, ines: Person
) -> None:
    donor = services.reference_board_keep(
        board_model=board.board_model, by=ines, serial="D-1", origin="donor"
    )
    address = reverse("diagnostics:part_test_new", args=["reference", donor.pk])
    assert post(at_bench, address, **BEGIN).status_code == 302
    assert PartTest.objects.get().ticket is None


def test_a_test_of_another_board_is_not_found(
    at_bench: Client, begun: PartTest, job: Ticket, board: Board, ines: Person
) -> None:
    other = services.board_join(
        ticket=job, by=ines, board_model=board.board_model, serial="R7-0002"
    )
    assert at_bench.get(url("part_test", other, job, begun.pk)).status_code == 404


# --- the controller ---


def test_the_controller_asks_for_what_is_missing(
    at_bench: Client, board: Board, job: Ticket
) -> None:
    page = seen(at_bench, url("controller", board, job))
    assert "Not settled yet" in page
    assert "check=k36" in page
    assert "mark-held-off" in page


@pytest.fixture
def powered(cold: None, read: Read) -> None:
    """Every cold gate is passed, and the controller's feed is read cold."""
    read("k62/feed", "0.4")


def controller_text(client: Client, board: Board, job: Ticket) -> str:
    page = seen(client, url("controller", board, job))
    return page.replace("\N{NO-BREAK SPACE}", " ")


def test_the_controller_is_told_alive(
    at_bench: Client, board: Board, job: Ticket, read: Read, powered: None
) -> None:
    for side in ("side1", "side2", "side3"):
        read(f"k36/{side}", "3.312")
    read("k63/adapter.ok", "3.291")
    assert "check=k63" in controller_text(at_bench, board, job)
    read("k63/sb.good", "3.301")
    page = controller_text(at_bench, board, job)
    assert "<strong>Alive</strong>" in page
    assert "fed straight from the always-on 3.3 V" in page
    assert "Still to read" not in page


def test_a_low_line_is_named_with_its_stage(
    at_bench: Client, board: Board, job: Ticket, read: Read, powered: None
) -> None:
    read("k63/adapter.ok", "0.012")
    page = controller_text(at_bench, board, job)
    assert "Look here" in page
    assert "adapter-ok, from the charge IC, 12 mV, is not at 3.3 V." in page
    assert "stage=charge" in page


def test_what_another_repairer_told_does_not_count(
    at_bench: Client, board: Board, job: Ticket, read: Read
) -> None:
    read("k63/adapter.ok", "0.012", source="told")
    assert "Not settled yet" in controller_text(at_bench, board, job)


def test_readings_gone_stale_do_not_count(
    at_bench: Client,
    board: Board,
    job: Ticket,
    ines: Person,
    read: Read,
    powered: None,
) -> None:
    read("k63/adapter.ok", "0.012")
    services.intervention_do(board=board, ticket=job, by=ines, kind="cleaned")
    assert "Not settled yet" in controller_text(at_bench, board, job)


# --- words and drawing ---


@given(SETUPS, st.data())
def test_whatever_is_asked_and_found_has_its_words(
    setup: Setup, data: st.DataObject
) -> None:
    _taken, position = played(setup, data)
    for ask, answer in position.answered:
        said = [
            part_words.title(ask, setup),
            part_words.what_to_do(ask, setup),
            part_words.answered(answer),
            *(tap["label"] for tap in part_page.taps(ask)),
        ]
        assert all(said)
        assert "{" not in "".join([*said, part_words.expected(ask, setup)])
    assert position.result is not None
    result = part_words.result(position.result)
    assert result["word"]
    assert result["reasons"]


def test_a_step_of_words_names_nothing_but_its_probes() -> None:
    for _title, do, _expect in part_steps.STEPS.values():
        names = {name for _, name, _, _ in string.Formatter().parse(do) if name}
        assert names <= {"red", "black"}


def test_the_drawing_counts_anticlockwise_from_the_dot() -> None:
    pins = part_drawing.eight(MAPS[Outline.EIGHT, 1])
    left = [pin.number for pin in sorted(pins, key=lambda one: one.y) if pin.is_left]
    right = [
        pin.number for pin in sorted(pins, key=lambda one: one.y) if not pin.is_left
    ]
    assert (left, right) == ([1, 2, 3, 4], [8, 7, 6, 5])
    assert [pin.letter for pin in pins] == list("SSSGDDDD")


def test_a_drawing_puts_the_probes_on_their_pins() -> None:
    ask = Ask("forward", Mode.DIODE, (1, 2, 3), (5, 6, 7, 8))
    drawing = part_drawing.drawing_of(Outline.EIGHT, MAPS[Outline.EIGHT, 1], ask)
    assert drawing is not None
    by_number = {pin.number: pin for pin in drawing.pins}
    red, black = drawing.probes
    assert (red.letter, red.y, red.tip) == ("R", by_number[1].y, by_number[1].end)
    assert (black.letter, black.y) == ("B", by_number[5].y)
    assert red.x < red.tip < black.tip < black.x


def test_tweezers_join_gate_and_source() -> None:
    ask = Ask("discharge", Mode.ACT, (1,), (3,))
    three = part_drawing.drawing_of(Outline.THREE, MAPS[Outline.THREE, 1], ask)
    assert three is not None
    assert three.bridge.count("L") == 1
    assert not three.probes
    assert not three.has_dot


def test_a_step_beside_the_part_has_no_drawing() -> None:
    ask = Ask("core_ohms", Mode.OHMS)
    assert part_drawing.drawing_of(Outline.EIGHT, None, ask) is None


def test_pins_in_words() -> None:
    own = MAPS[Outline.EIGHT, 1]
    assert part_words.on((4,), own) == "gate (pin 4)"
    assert part_words.on((1, 2, 3), own) == "source (pin 1, 2 or 3)"
    assert part_words.on((2, 3), own) == "pin 2 or 3"
    assert part_words.on((5,), None) == "pin 5"
