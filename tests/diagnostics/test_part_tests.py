"""Part tests kept as rows: started, stepped, taken back, never changed."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import DatabaseError, transaction

from diagnostics import bridge_parts, holding
from diagnostics import services as bench
from diagnostics.engine.errors import EngineError
from diagnostics.engine.packages import Channel, Outline, Pins, Seat, Setup
from diagnostics.models import Board, Meter, PartTest, PartTestStep
from diagnostics.refusals import OtherContents
from shop.intake.models import Handover, Ticket
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from tests.diagnostics.conftest import MORNING, Read
from tests.factories import TicketFactory

LIFTED = Setup(Outline.THREE, Channel.N, is_lifted=True)
NOON = MORNING + timedelta(hours=3)


@pytest.fixture
def test(board: Board, job: Ticket, ines: Person) -> PartTest:
    return start(board, job, ines)


def start(
    board: Board, job: Ticket | None, by: Person, setup: Setup | None = LIFTED
) -> PartTest:
    return bench.part_test_start(
        board=board, ticket=job, by=by, label=" left of the coil ", setup=setup, at=NOON
    )


def take(test: PartTest, by: Person, *answers: tuple[str, str]) -> None:
    for step, typed in answers:
        bench.part_step_take(test=test, by=by, step=step, typed=typed)


def word(test: PartTest) -> tuple[str, str] | None:
    found = bridge_parts.position_of(test, test.steps.all()).result
    return (found.row, found.word) if found else None


SHORTED = (("discharge", "done"), ("forward", "0.002"), ("reverse", "0.001 V"))


def test_a_test_is_kept_and_its_result_is_computed(
    test: PartTest, ines: Person
) -> None:
    assert (test.label, test.kind, word(test)) == ("left of the coil", "mosfet", None)
    take(test, ines, *SHORTED)
    assert word(test) == ("m3", "bad")
    typed = test.steps.get(step="reverse")
    assert (typed.typed, typed.value, typed.unit) == ("0.001 V", 0.001, "V")


def test_beginning_takes_the_board_in_hand(test: PartTest, ines: Person) -> None:
    assert holding.holder_of(test.board) == ines.pk


def test_a_board_in_other_hands_stays_there(
    board: Board, job: Ticket, ines: Person, sami: Person
) -> None:
    bench.board_take(board=board, ticket=job, by=sami)
    start(board, job, ines)
    assert holding.holder_of(board) == sami.pk


def test_a_test_needs_no_ticket(board: Board, ines: Person) -> None:
    assert start(board, None, ines).ticket is None


def test_it_keeps_what_the_meter_gives_and_the_leads_in_force(
    board: Board, job: Ticket, hollin_lane: Shop, ines: Person, read: Read
) -> None:
    weak = Meter.objects.create(
        shop=hollin_lane,
        name="B2",
        diode_volts=1.5,
        ranges=[
            {"mode": "R", "full_scale": 600, "percent": 1, "counts": 3, "digit": 0.1}
        ],
    )
    read("k04/leads", "0.3", meter=weak)
    test = bench.part_test_start(
        board=board,
        ticket=job,
        by=ines,
        label="by the coil",
        setup=LIFTED,
        meter=weak,
        at=NOON,
    )
    setup = bridge_parts.setup_of(test.setup)
    assert (setup.diode_volts, setup.lead_ohms) == (1.5, 0.3)


@pytest.mark.parametrize(
    "setup",
    [
        Setup(Outline.DUAL, Channel.P, is_lifted=False, seat=Seat.HIGH_SIDE, die=2),
        Setup(
            Outline.OWN, Channel.UNKNOWN, is_lifted=True, own=Pins((1,), (2, 3), (7,))
        ),
    ],
)
def test_a_setup_comes_back_as_it_went_in(
    board: Board, job: Ticket, ines: Person, setup: Setup
) -> None:
    kept = PartTest.objects.get(pk=start(board, job, ines, setup).pk)
    assert bridge_parts.setup_of(kept.setup) == setup


def test_a_part_needs_its_label(board: Board, job: Ticket, ines: Person) -> None:
    with pytest.raises(Refused) as refused:
        bench.part_test_start(board=board, ticket=job, by=ines, label="  ")
    assert refused.value.field == "label"
    assert not PartTest.objects.exists()


def test_a_ticket_about_another_board_is_refused(
    board: Board, ines: Person, tomas: Person
) -> None:
    with pytest.raises(Refused):
        start(board, TicketFactory.create(by=tomas), ines)
    assert not PartTest.objects.exists()


# --- steps ---


def test_only_the_step_that_is_asked_is_taken(test: PartTest, ines: Person) -> None:
    with pytest.raises(Refused, match="Another step"):
        take(test, ines, ("forward", "0.4"))
    take(test, ines, *SHORTED)
    with pytest.raises(Refused, match="settled"):
        take(test, ines, ("gate_source", "OL"))
    assert test.steps.count() == 3


HOSTILE = ["", "-0.4", "12", "5 kΩ", "9**9**9", "٠.٤", "1" * 400, "<b>", "climbing"]


@pytest.mark.parametrize("typed", HOSTILE)
def test_what_is_no_answer_keeps_nothing(
    test: PartTest, ines: Person, typed: str
) -> None:
    take(test, ines, ("discharge", "done"))
    with pytest.raises(EngineError):
        take(test, ines, ("forward", typed))
    assert test.steps.count() == 1


def test_the_last_step_is_taken_back_by_a_row_more(
    test: PartTest, ines: Person
) -> None:
    take(test, ines, *SHORTED)
    bench.part_step_take_back(test=test, by=ines)
    assert word(test) is None
    take(test, ines, ("reverse", "0.9"))
    steps = list(test.steps.values_list("step", flat=True))
    assert steps == ["discharge", "forward", "reverse", "take_back", "reverse"]


def test_there_must_be_a_step_to_take_back(test: PartTest, ines: Person) -> None:
    with pytest.raises(Refused):
        bench.part_step_take_back(test=test, by=ines)
    assert not test.steps.exists()


def test_the_same_again_is_done_once(board: Board, job: Ticket, ines: Person) -> None:
    one, step, back = uuid4(), uuid4(), uuid4()
    own = Setup(Outline.OWN, Channel.N, is_lifted=True, own=Pins((1,), (2,), (7,)))
    first, again = (
        bench.part_test_start(
            board=board, ticket=job, by=ines, label="by the coil", setup=own, uuid=one
        )
        for _ in range(2)
    )
    assert first == again
    for _ in range(2):
        bench.part_step_take(
            test=first, by=ines, step="discharge", typed="done", uuid=step
        )
    for _ in range(2):
        bench.part_step_take_back(test=first, by=ines, uuid=back)
    assert PartTest.objects.count() == 1
    assert first.steps.count() == 2


def test_the_same_id_with_other_contents_is_refused(
    test: PartTest, ines: Person
) -> None:
    take(test, ines, ("discharge", "done"))
    kept = uuid4()
    bench.part_step_take(test=test, by=ines, step="forward", typed="0.4", uuid=kept)
    with pytest.raises(OtherContents):
        bench.part_step_take(test=test, by=ines, step="forward", typed="0.5", uuid=kept)
    with pytest.raises(OtherContents):
        bench.part_test_start(
            board=test.board, ticket=test.ticket, by=ines, label="x", uuid=test.uuid
        )


def test_a_closed_ticket_takes_no_more(test: PartTest, ines: Person) -> None:
    take(test, ines, ("discharge", "done"))
    assert test.ticket is not None
    Handover.objects.create(ticket=test.ticket, given_to="Ada Pell")
    with pytest.raises(Refused, match="closed"):
        take(test, ines, ("forward", "0.4"))
    with pytest.raises(Refused, match="closed"):
        bench.part_step_take_back(test=test, by=ines)


def test_the_database_itself_refuses_to_change_them(
    test: PartTest, ines: Person
) -> None:
    take(test, ines, ("discharge", "done"))
    for rows in (PartTest.objects.all(), PartTestStep.objects.all()):
        with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
            rows.update(by=ines)
        with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
            rows.all()._raw_delete(rows.db)
    assert test.steps.count() == 1


# --- chips ---


def test_without_a_setup_it_asks_what_the_part_is(
    board: Board, job: Ticket, ines: Person
) -> None:
    test = start(board, job, ines, None)
    take(test, ines, ("power_gone", "done"), ("source_joined", "OL"))
    take(test, ines, ("drain_joined", "OL"), ("pair_56", "OL"), ("pair_78", "OL"))
    take(test, ines, ("body", "6x5"), ("near", "yes"))
    assert (test.kind, word(test)) == ("chip", ("", "flash"))
