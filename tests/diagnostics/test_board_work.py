"""Boards, strikes, epochs, stale gates, findings, advice, proof."""

from datetime import timedelta

import pytest
from django.db import DatabaseError, transaction

from diagnostics import holding, ladders, passing, queries, situations
from diagnostics import services as bench
from diagnostics.models import Advice, Board, BoardModel, Finding, Meter, Reading
from diagnostics.refusals import HeldOff
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event
from tests.diagnostics.conftest import MORNING, Read
from tests.factories import TicketFactory
from tests.proving import proved

NOON = MORNING + timedelta(hours=3)


def gates_of(board: Board, check_id: str) -> list[str]:
    at = MORNING + timedelta(hours=2)
    return [hold.gate_id for hold in queries.holds_for(board, check_id, at=at)]


# --- boards ---


def test_a_board_number_is_known_once(heron: BoardModel, ines: Person) -> None:
    again = bench.board_model_keep(
        shop=heron.shop, by=ines, number=" hr-14-mb ", family="laptop_barrel"
    )
    assert again == heron


def test_an_unknown_family_is_refused_in_words(hollin_lane: Shop, ines: Person) -> None:
    with pytest.raises(Refused) as refused:
        bench.board_model_keep(
            shop=hollin_lane, by=ines, number="X-1", family="toaster"
        )
    assert refused.value.field == "family"
    assert "toaster" in str(refused.value)
    assert not BoardModel.objects.exists()


def test_a_patch_changes_the_yardstick_of_its_model(
    heron: BoardModel, board: Board, ines: Person
) -> None:
    key = "rails.sb.33.ohms.short_below"
    bench.board_model_patch(board_model=heron, by=ines, key=key, new=40.0)
    yardstick = queries.engine_board(board).yardstick("k11/sb.33")
    assert yardstick is not None
    assert yardstick.limit_low == 40.0
    bench.board_model_patch(board_model=heron, by=ines, key=key, new=None)
    assert heron.revisions.count() == 2
    yardstick = queries.engine_board(board).yardstick("k11/sb.33")
    assert yardstick is not None
    assert yardstick.limit_low == 10.0


def test_a_patch_that_makes_no_sense_is_refused(
    heron: BoardModel, ines: Person
) -> None:
    with pytest.raises(Refused):
        bench.board_model_patch(
            board_model=heron, by=ines, key="rails.nowhere.low", new=1
        )
    assert not heron.revisions.exists()


def test_the_same_serial_is_the_same_board_on_a_later_ticket(
    board: Board, heron: BoardModel, ines: Person, tomas: Person
) -> None:
    back = TicketFactory.create(by=tomas)
    again = bench.board_join(ticket=back, by=ines, board_model=heron, serial="r7-0001")
    assert again == board
    assert Event.objects.filter(kind=Kind.BOARD_JOINED, board_id=board.pk).count() == 2


def test_a_board_that_went_home_is_read_anew(
    board: Board,
    job: Ticket,
    read: Read,
    heron: BoardModel,
    ines: Person,
    tomas: Person,
) -> None:
    """What was read before opens no gate, leads to no suspect and shows no rung."""
    for point in ("k03/main", "k03/mem.q", "k03/cpu.core"):
        read(point, "0.00")
    assert not gates_of(board, "k06")
    read("k06/main", "40.6k")
    assert situations.evidence_of(queries.known_of(board, at=NOON)).seen
    again = back_again(board, job, heron, by=tomas, bench_by=ines)
    after = queries.known_of(board, at=NOON + timedelta(minutes=1))
    assert again == board
    assert after.back_since == after.epoch == 1
    assert after.work == ()
    assert gates_of(board, "k06") == ["k03"]
    assert situations.evidence_of(after).seen == ()
    assert ladders.now(after) == {}


def back_again(
    board: Board, job: Ticket, heron: BoardModel, *, by: Person, bench_by: Person
) -> Board:
    intake.outcome_record(ticket=proved(job, by), by=by, kind="fixed")
    intake.handover_do(ticket=job, by=by, given_to="Ada Pell")
    back = TicketFactory.create(by=by, device=job.device)
    return bench.board_join(
        ticket=back, by=bench_by, board_model=heron, serial="R7-0001", at=NOON
    )


def test_coming_back_is_no_repair(
    board: Board, job: Ticket, heron: BoardModel, ines: Person, tomas: Person
) -> None:
    back_again(board, job, heron, by=tomas, bench_by=ines)
    ticket = board.ticket_boards.latest("id").ticket
    with pytest.raises(Refused, match="Proven means repaired"):
        bench.finding_confirm(
            board=board, ticket=ticket, by=ines, cause="not_found", is_proven=True
        )
    with pytest.raises(Refused, match="Say what was done"):
        bench.intervention_do(board=board, ticket=ticket, by=ines, kind="away")


def test_a_second_open_ticket_leaves_its_readings_alone(
    board: Board, heron: BoardModel, ines: Person, tomas: Person
) -> None:
    more = TicketFactory.create(by=tomas)
    bench.board_join(ticket=more, by=ines, board_model=heron, serial="R7-0001")
    assert queries.epoch_of(board) == 0


def test_taking_another_board_puts_the_first_one_down(
    board: Board, job: Ticket, heron: BoardModel, ines: Person, tomas: Person
) -> None:
    bench.board_take(board=board, ticket=job, by=ines)
    other_job = TicketFactory.create(by=tomas)
    other = bench.board_join(ticket=other_job, by=ines, board_model=heron, serial="9")
    bench.board_take(board=other, ticket=other_job, by=ines)
    assert holding.holder_of(board) is None
    assert holding.holder_of(other) == ines.pk
    down = Event.objects.get(kind=Kind.BOARD_PUT_DOWN)
    assert (down.board_id, down.ticket_id) == (board.pk, job.pk)


def test_somebody_else_may_take_it_over(
    board: Board, job: Ticket, ines: Person, sami: Person
) -> None:
    bench.board_take(board=board, ticket=job, by=ines)
    bench.board_take(board=board, ticket=job, by=sami)
    assert holding.holder_of(board) == sami.pk
    assert holding.boards_in_hand(ines) == []


def test_a_ticket_takes_only_boards_that_it_is_about(
    board: Board, ines: Person, tomas: Person
) -> None:
    other = TicketFactory.create(by=tomas)
    with pytest.raises(Refused):
        bench.board_take(board=board, ticket=other, by=ines)
    with pytest.raises(Refused):
        bench.reading_take(
            board=board, ticket=other, by=ines, point_id="k04/leads", typed="0.2"
        )
    assert not Reading.objects.exists()


def test_another_shops_board_model_joins_no_ticket_here(
    job: Ticket, ines: Person, elsewhere: Person
) -> None:
    theirs = elsewhere.memberships.get(role="owner").shop
    model = bench.board_model_keep(
        shop=theirs, by=elsewhere, number="HR-14-MB", family="laptop_barrel"
    )
    with pytest.raises(Refused):
        bench.board_join(ticket=job, by=ines, board_model=model)
    assert not job.ticket_boards.exists()


# --- readings stand or are struck ---


def test_a_struck_reading_stays_in_the_record_and_stops_counting(
    read: Read, board: Board, ines: Person
) -> None:
    wrong = read("k03/main", "12")
    bench.reading_strike(reading=wrong, by=ines, why="wrong rail")
    bench.reading_strike(reading=wrong, by=ines)
    assert queries.standing_readings(board) == ()
    assert Reading.objects.get() == wrong
    struck = Event.objects.get(kind=Kind.READING_STRUCK)
    assert struck.note is not None
    assert struck.note.text == "wrong rail"


def test_the_database_itself_refuses_to_change_a_reading(read: Read) -> None:
    reading = read("k03/main", "0.01")
    with pytest.raises(DatabaseError), transaction.atomic():
        Reading.objects.filter(pk=reading.pk).update(value=3.3)
    with pytest.raises(DatabaseError), transaction.atomic():
        reading.delete()
    assert Reading.objects.get().value == 0.01


def test_striking_a_gates_reading_holds_power_off_again(
    cold: None, read: Read, board: Board, ines: Person
) -> None:
    assert gates_of(board, "k24") == []
    main = board.readings.get(point_id="k06/main")
    bench.reading_strike(reading=main, by=ines)
    assert "k06" in gates_of(board, "k24")


def test_not_fitted_opens_its_gate_and_fitted_again_closes_it(
    cold: None, board: Board, job: Ticket, ines: Person
) -> None:
    assert "k19" not in gates_of(board, "k24")
    bench.point_not_fitted(
        board=board, ticket=job, by=ines, point_id="graphics", is_fitted=True
    )
    assert "k19" in gates_of(board, "k24")
    with pytest.raises(Refused):
        bench.point_not_fitted(board=board, ticket=job, by=ines, point_id="k99/x")


def test_a_kept_reading_outlives_a_change_of_its_meters_ranges(
    read: Read, board: Board, hollin_lane: Shop
) -> None:
    meter = Meter.objects.create(shop=hollin_lane, name="B2")
    read("k03/main", "0.01", meter=meter)
    only_ohms = {"mode": "R", "full_scale": 600.0, "percent": 1.0, "counts": 3}
    meter.ranges = [only_ohms | {"digit": 0.1}]
    meter.save(update_fields=["ranges"])
    word = queries.known_of(board).newest()["k03/main"].verdict.word
    assert word in {"good", "unclear"}


# --- epochs and stale gates ---


def test_an_intervention_begins_the_next_epoch(
    read: Read, board: Board, job: Ticket, ines: Person
) -> None:
    before = read("k03/main", "0.01")
    done = bench.intervention_do(
        board=board, ticket=job, by=ines, kind="removed", part_id="p.cmain", at=NOON
    )
    assert (before.epoch, done.epoch) == (0, 1)
    assert read("k03/main", "0.01").epoch == 1


def test_a_gate_goes_stale_when_its_rail_was_touched(
    cold: None, board: Board, job: Ticket, ines: Person
) -> None:
    bench.intervention_do(
        board=board, ticket=job, by=ines, kind="removed", part_id="p.cmain", at=NOON
    )
    assert "k06" in gates_of(board, "k24")


def test_a_gate_stands_when_another_rail_was_touched(
    cold: None, board: Board, job: Ticket, ines: Person
) -> None:
    bench.intervention_do(
        board=board, ticket=job, by=ines, kind="replaced", part_id="p.btn", at=NOON
    )
    known = queries.known_of(board)
    main = known.newest()["k06/main"]
    assert not passing.touches(known, known.interventions[0], main.point)
    assert "k06" not in gates_of(board, "k24")


def test_a_cable_swapped_changes_nothing_on_the_board(
    cold: None, board: Board, job: Ticket, ines: Person
) -> None:
    bench.intervention_do(
        board=board, ticket=job, by=ines, kind="swapped", place="adapter", at=NOON
    )
    assert gates_of(board, "k24") == []


def test_cleaning_the_board_makes_every_gate_stale(
    cold: None, board: Board, job: Ticket, ines: Person
) -> None:
    bench.intervention_do(board=board, ticket=job, by=ines, kind="cleaned", at=NOON)
    assert {"k06", "k20"} <= set(gates_of(board, "k24"))


def test_after_power_the_board_is_asked_again_whether_it_is_gone(
    cold: None, read: Read, board: Board
) -> None:
    assert gates_of(board, "k05") == []
    read("k24/supply", "12m", pattern={"kind": "steady"})
    assert gates_of(board, "k05") == ["k03"]
    with pytest.raises(HeldOff, match="Power was on the board since"):
        read("k05/in.jack", "48k")


def test_after_a_day_of_rest_only_main_is_asked_again(cold: None, board: Board) -> None:
    later = MORNING + timedelta(days=2)
    held = queries.holds_for(board, "k24", at=later)
    assert "k06" in {hold.gate_id for hold in held}
    known = queries.known_of(board, at=later)
    assert "A day has passed" in passing.why(known, held[0])
    stale = {
        one.check.id
        for one in passing.our_newest(known).values()
        if passing.is_stale(known, one)
    }
    assert stale == {"k06"}


# --- gates passed over ---


def overrule(board: Board, job: Ticket, by: Person, **words: object) -> None:
    fields: dict[str, object] = {
        "check_id": "k24",
        "gate_id": "k06",
        "chip": "limited_power",
    }
    fields |= {"limit_amps": 0.5, "at": MORNING + timedelta(hours=2)} | words
    bench.gate_overrule(board=board, ticket=job, by=by, **fields)  # type: ignore[arg-type]


def test_an_unread_gate_may_be_passed_with_name_and_reason(
    cold: None, read: Read, board: Board, job: Ticket, ines: Person
) -> None:
    bench.reading_strike(reading=board.readings.get(point_id="k06/main"), by=ines)
    bench.reading_strike(reading=board.readings.get(point_id="k06/main.in"), by=ines)
    overrule(board, job, ines, chip="measured_elsewhere", words="on Sami's bench")
    assert "k06" not in gates_of(board, "k24")
    assert "k06" in gates_of(board, "k27")
    told = Event.objects.get(kind=Kind.GATE_OVERRULED)
    assert told.codes == {"check": "k24", "gate": "k06", "chip": "measured_elsewhere"}
    assert told.by == ines


def test_a_bad_gate_is_never_passed(
    cold: None, read: Read, board: Board, job: Ticket, ines: Person
) -> None:
    read("k06/main", "0.4")
    with pytest.raises(Refused, match="bad"):
        overrule(board, job, ines)
    assert "k06" in gates_of(board, "k24")


def test_an_unclear_gate_needs_the_current_limit_typed_in(
    cold: None, read: Read, board: Board, job: Ticket, ines: Person
) -> None:
    read("k06/main", "700")
    for limit in (None, 0.0, -1.0, 50.0):
        with pytest.raises(Refused) as refused:
            overrule(board, job, ines, limit_amps=limit)
        assert refused.value.field == "limit_amps"
    overrule(board, job, ines, limit_amps=0.5)
    assert "k06" not in gates_of(board, "k24")


def test_an_override_ends_with_its_epoch(
    cold: None, read: Read, board: Board, job: Ticket, ines: Person
) -> None:
    read("k06/main", "700")
    overrule(board, job, ines)
    bench.intervention_do(
        board=board, ticket=job, by=ines, kind="removed", part_id="p.cmain", at=NOON
    )
    assert "k06" in gates_of(board, "k24")


def test_past_limited_power_the_typed_limit_is_the_highest(
    cold: None, read: Read, board: Board, job: Ticket, ines: Person
) -> None:
    read("k06/main", "700")
    overrule(board, job, ines, limit_amps=0.5)
    with pytest.raises(Refused) as refused:
        read("k24/supply", "12m", supply_limit_amps=1.0)
    assert refused.value.field == "supply_limit_amps"
    assert read("k24/supply", "12m").supply_limit_amps == 0.5


# --- interventions ---


def test_what_was_done_is_one_of_the_known_acts(
    board: Board, job: Ticket, ines: Person
) -> None:
    with pytest.raises(Refused):
        bench.intervention_do(board=board, ticket=job, by=ines, kind="blessed")
    assert not board.interventions.exists()


# --- findings, advice, proof ---


def test_proven_means_repaired(board: Board, job: Ticket, ines: Person) -> None:
    with pytest.raises(Refused):
        bench.finding_confirm(
            board=board,
            ticket=job,
            by=ines,
            part_id="p.cmain",
            mode_id="short",
            is_proven=True,
        )
    assert not Finding.objects.exists()
    assert not Advice.objects.exists()


@pytest.mark.parametrize(
    ("part_id", "mode_id"), [("", ""), ("p.nothing", "short"), ("p.cmain", "melted")]
)
def test_a_cause_names_a_part_and_how_it_failed(
    board: Board, job: Ticket, ines: Person, part_id: str, mode_id: str
) -> None:
    with pytest.raises(Refused):
        bench.finding_confirm(
            board=board, ticket=job, by=ines, part_id=part_id, mode_id=mode_id
        )
    assert not Finding.objects.exists()


def test_not_found_is_said_openly(board: Board, job: Ticket, ines: Person) -> None:
    finding = bench.finding_confirm(board=board, ticket=job, by=ines, cause="not_found")
    assert (finding.part_id, finding.cause) == ("", "not_found")


def test_naming_a_suspect_keeps_the_ranking_of_the_moment(
    cold: None, read: Read, board: Board, job: Ticket, ines: Person
) -> None:
    struck = read("k03/main", "0.02")
    bench.reading_strike(reading=struck, by=ines)
    advice = bench.suspect_name(
        board=board, ticket=job, by=ines, part_id="p.dual", mode_id="no_output"
    )
    shares = [one["p"] for one in advice.suspects]
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) + advice.something_else < 1
    assert struck.pk not in advice.reading_ids
    assert Event.objects.filter(kind=Kind.SUSPECT_NAMED).count() == 1


def test_waived_needs_a_reason(job: Ticket, ines: Person) -> None:
    with pytest.raises(Refused) as refused:
        bench.proof_item_record(ticket=job, by=ines, item="soak", result="waived")
    assert refused.value.field == "words"
    with pytest.raises(Refused):
        bench.proof_item_record(ticket=job, by=ines, item="dance", result="passed")
    assert not job.proof_items.exists()


def test_held_off_says_why_and_what_frees_it(read: Read) -> None:
    with pytest.raises(HeldOff) as refused:
        read("k06/main", "41k")
    assert "k03" in str(refused.value)
