"""The two worked cases of the domain brief (section 12), through the services.

Leads read 0.2 ohm in both, so ohms are typed with the leads' own in them, as a
meter shows them. The verdict words are the brief's own.
"""

from datetime import timedelta
from typing import Any

import pytest

from diagnostics import advising, evidence, queries
from diagnostics import services as bench
from diagnostics.models import Advice, Board, Reading
from diagnostics.refusals import HeldOff
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.kinds import Kind
from shop.records.models import Event
from tests.diagnostics.conftest import MORNING, Read

pytestmark = pytest.mark.one_database


def word_at(board: Board, point_id: str) -> str:
    """The verdict word of the newest reading at a point."""
    return queries.known_of(board).newest()[point_id].verdict.word.value


def words_at(board: Board, *point_ids: str) -> list[str]:
    return [word_at(board, point_id) for point_id in point_ids]


def before_and_after(ticket: Ticket) -> dict[str, tuple[str, str]]:
    """Point -> the verdict words of both sides, "" where it was not read."""
    return {
        row["point"]: (
            row["before"]["verdict"] if row["before"] else "",
            row["after"]["verdict"] if row["after"] else "",
        )
        for row in evidence.of_ticket(ticket)
    }


def power_gone(read: Read) -> None:
    for rail in ("main", "mem.q", "cpu.core"):
        read(f"k03/{rail}", "0.01")


def no_graphics_chip(board: Board, ticket: Ticket, by: Person) -> None:
    bench.point_not_fitted(board=board, ticket=ticket, by=by, point_id="graphics")


@pytest.fixture
def first_look(read: Read, board: Board, job: Ticket, ines: Person) -> None:
    """k01, k02, k03, k04: what both cases begin with."""
    no_graphics_chip(board, job, ines)
    read("k01/top", category="flux_mark")
    read("k01/bottom", category="clean")
    read("k02/pack", category="flat_cool_dry")
    power_gone(read)
    read("k04/leads", "0.2")


@pytest.fixture
def shorted(read: Read, first_look: None) -> None:
    """Case A, steps 2, 3 and 5: main is shorted, no high side is."""
    read("k05/in.jack", "48k")
    read("k06/main", "0.4")
    read("k06/main.in", "0.4")
    read("k17/cpu.core", "4.3")
    read("k11/sb.33", "305")
    read("k11/sb.5", "820")
    read("k18/cpu.phase1", "4.5")
    read("k18/cpu.phase2", "4.5")
    read("k20/sb.33.phase1", "306")
    read("k20/sb.5.phase1", "821")


def test_case_a_reads_a_hard_short_on_main(
    shorted: None, board: Board, read: Read
) -> None:
    assert words_at(board, "k05/in.jack", "k06/main", "k06/main.in") == [
        "good",
        "bad",
        "bad",
    ]
    assert words_at(board, "k11/sb.33", "k03/main") == ["good", "good"]
    newest = queries.known_of(board).newest()
    assert newest["k06/main"].reading.lead_ohms == 0.2


def test_case_a_holds_power_off_and_keeps_nothing(
    shorted: None, board: Board, read: Read
) -> None:
    taken = Reading.objects.count()
    with pytest.raises(HeldOff) as refused:
        read("k24/supply", "14m", pattern={"kind": "steady"})
    assert "k06" in {hold.gate_id for hold in refused.value.holds}
    assert Reading.objects.count() == taken


def first_suspect(board: Board) -> str:
    said = advising.assessment_of(queries.known_of(board))
    assert said is not None
    return said.suspects[0].part_id


def test_case_a_suspects_what_sits_on_main(
    suspecting: None, shorted: None, board: Board
) -> None:
    assert first_suspect(board) == "p.cmain"


@pytest.fixture
def case_a(
    shorted: None, read: Read, board: Board, job: Ticket, ines: Person
) -> Ticket:
    """The whole of case A, to the readings after the repair."""
    limits = {"supply_volts": 1.0, "supply_limit_amps": 2.0}
    read("k53/main", "429 mV", supply_actual_volts=0.42, **limits)
    read("k54/warmest", "18", **limits)
    read("k54/second", "3", **limits)
    at = MORNING + timedelta(hours=3)
    words: dict[str, Any] = {"board": board, "ticket": job, "by": ines}
    bench.intervention_do(
        kind="removed", part_id="p.cmain", place="C-a", at=at, **words
    )
    power_gone(read)
    read("k06/main", "41k")
    read("k06/main.in", "41k")
    bench.intervention_do(kind="fitted", part_id="p.cmain", place="C-a", at=at, **words)
    read("k06/main", "41k")
    read("k06/main.in", "41k")
    powered = {"supply_volts": 19.0, "supply_limit_amps": 1.0}
    read("k24/supply", "14m", pattern={"kind": "steady"}, **powered)
    read("k27/main", "18.9")
    bench.finding_confirm(
        part_id="p.cmain", mode_id="short", place="C-a", is_proven=True, at=at, **words
    )
    return job


def test_case_a_is_proven_at_the_same_points(case_a: Ticket, board: Board) -> None:
    sides = before_and_after(case_a)
    assert sides["k06/main"] == ("bad", "good")
    assert sides["k24/supply"] == ("", "good")
    assert sides["k27/main"] == ("", "good")
    assert "k03/main" not in sides


def test_case_a_shows_the_ohms_less_the_leads(case_a: Ticket) -> None:
    rows = {row["point"]: row for row in evidence.of_ticket(case_a)}
    main = rows["k06/main"]
    assert main["before"]["value"].replace("\N{NO-BREAK SPACE}", " ") == "0.2 Ω"
    assert main["after"]["value"].replace("\N{NO-BREAK SPACE}", " ") == "41 kΩ"
    assert (main["before"]["rung"], main["after"]["rung"]) == ("down", "up")


def test_case_a_keeps_the_advice_of_the_moment(case_a: Ticket, board: Board) -> None:
    advice = Advice.objects.get(ticket=case_a, moment="finding_confirmed")
    assert advice.family_hash == queries.engine_board(board).family.hash
    assert set(advice.reading_ids) == set(board.readings.values_list("pk", flat=True))
    assert 0 <= advice.something_else <= 1
    assert Event.objects.filter(
        ticket_id=case_a.pk, kind=Kind.FINDING_CONFIRMED
    ).exists()


@pytest.fixture
def cold_is_good(read: Read, first_look: None) -> None:
    """Case B, step 1: every cold reading is good, k18 and k20 by arithmetic."""
    read("k05/in.jack", "48k")
    read("k06/main", "62k")
    read("k06/main.in", "62k")
    read("k11/sb.33", "410")
    read("k11/sb.5", "2.3k")
    read("k17/cpu.core", "4.0")


def test_case_b_may_power_by_arithmetic(cold_is_good: None, board: Board) -> None:
    later = MORNING + timedelta(hours=2)
    assert queries.holds_for(board, "k24", at=later) == ()


@pytest.fixture
def case_b(
    cold_is_good: None, read: Read, board: Board, job: Ticket, ines: Person
) -> Ticket:
    """The whole of case B: the dual controller gives no output."""
    powered = {"supply_volts": 19.0, "supply_limit_amps": 0.5}
    read("k24/supply", "3 mA", pattern={"kind": "steady"}, **powered)
    read("k27/main", "18.9")
    read("k29/chg.ldo", "5.9")
    read("k31/keep5", "0.02")
    read("k31/keep33", "0.01")
    power_gone(read)
    read("k11/keep5", "8.4k")
    read("k11/keep33", "6.1k")
    read("k31/dual.in", "18.9")
    read("k31/dual.en", "3.1")
    at = MORNING + timedelta(hours=3)
    words: dict[str, Any] = {"board": board, "ticket": job, "by": ines}
    bench.intervention_do(kind="replaced", part_id="p.dual", at=at, **words)
    power_gone(read)
    for point_id, typed in (
        ("k06/main", "62k"),
        ("k06/main.in", "62k"),
        ("k11/sb.33", "410"),
        ("k11/sb.5", "2.3k"),
    ):
        read(point_id, typed)
    read("k24/supply", "12 mA", pattern={"kind": "steady"}, **powered)
    for point_id, typed in (
        ("k27/main", "18.9"),
        ("k31/keep5", "5.01"),
        ("k31/keep33", "3.31"),
        ("k32/sb.33", "3.33"),
        ("k32/sb.5", "5.04"),
    ):
        read(point_id, typed)
    bench.finding_confirm(
        part_id="p.dual", mode_id="no_output", is_proven=True, at=at, **words
    )
    return job


def test_case_b_finds_the_keep_alives_dead_and_then_alive(case_b: Ticket) -> None:
    sides = before_and_after(case_b)
    assert sides["k31/keep5"] == ("bad", "good")
    assert sides["k31/keep33"] == ("bad", "good")
    assert sides["k24/supply"] == ("watch", "good")
    assert sides["k27/main"] == ("good", "good")
    assert sides["k32/sb.33"] == ("", "good")
    assert sides["k32/sb.5"] == ("", "good")


def test_case_b_shows_rungs_from_down_to_up(case_b: Ticket) -> None:
    rows = {row["point"]: row for row in evidence.of_ticket(case_b)}
    for point_id in ("k31/keep5", "k31/keep33"):
        assert rows[point_id]["before"]["rung"] == "down"
        assert rows[point_id]["after"]["rung"] == "up"


def test_case_b_suspects_the_dual_controller(
    suspecting: None, cold_is_good: None, read: Read, board: Board
) -> None:
    read("k24/supply", "3 mA", pattern={"kind": "steady"})
    read("k27/main", "18.9")
    read("k29/chg.ldo", "5.9")
    read("k31/keep5", "0.02")
    read("k31/keep33", "0.01")
    assert first_suspect(board) == "p.dual"
