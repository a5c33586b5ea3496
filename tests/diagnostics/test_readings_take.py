"""Several readings in one act: their board is loaded once, each counts for the next."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from diagnostics import queries
from diagnostics import services as bench
from diagnostics.models import Board, BoardModel, Origin, Reading
from diagnostics.refusals import HeldOff
from shop.intake.models import Ticket
from shop.people.models import Person
from tests.diagnostics.conftest import MORNING, Read
from tests.diagnostics.test_lore import STANDBY, cold

START = MORNING + timedelta(hours=1)
POWER_GONE = {"k03/main": "0.01", "k03/mem.q": "0.01", "k03/cpu.core": "0.01"}
COLD = {"k04/leads": "0.2", "k11/sb.33": "210", "k06/main": "48k", "k05/in.jack": "48k"}

TakeAll = Callable[..., list[Reading]]


@pytest.fixture
def take_all(board: Board, job: Ticket, ines: Person) -> TakeAll:
    def take(points: dict[str, str], **words: Any) -> list[Reading]:
        taken: list[Any] = [
            {
                "point_id": point,
                "typed": typed,
                "taken_at": START + timedelta(0, 20 * n),
            }
            for n, (point, typed) in enumerate(points.items())
        ]
        fields: dict[str, Any] = {"board": board, "ticket": job, "by": ines}
        return bench.readings_take(taken=taken, **fields | words)

    return take


def columns(reading: Reading) -> dict[str, Any]:
    others = {"id", "uuid", "received_at", "board", "ticket"}
    return {
        field.name: getattr(reading, field.attname)
        for field in Reading._meta.concrete_fields
        if field.name not in others
    }


def verdicts(board: Board) -> list[tuple[str, str, object]]:
    return [
        (one.reading.point_id, one.verdict.word.value, one.verdict)
        for one in queries.known_of(board, at=START + timedelta(hours=1)).judged
    ]


def test_together_they_are_kept_and_judged_as_one_by_one(
    take_all: TakeAll, heron: BoardModel, board: Board, ines: Person
) -> None:
    together = take_all(POWER_GONE | COLD)
    other = bench.reference_board_keep(
        board_model=heron, by=ines, origin=Origin.DONOR, serial="R7-0002"
    )
    alone = [
        bench.reading_take(
            board=other,
            ticket=None,
            by=ines,
            point_id=one.point_id,
            typed=one.typed,
            taken_at=one.taken_at,
        )
        for one in together
    ]
    assert [columns(one) for one in together] == [columns(one) for one in alone]
    assert verdicts(board) == verdicts(other)


def test_what_an_earlier_one_opens_is_open_for_the_next(take_all: TakeAll) -> None:
    with pytest.raises(HeldOff):
        take_all(COLD)
    assert not Reading.objects.exists()
    assert len(take_all(POWER_GONE | COLD)) == 7


def test_what_an_earlier_one_shuts_keeps_all_of_them_out(take_all: TakeAll) -> None:
    with pytest.raises(HeldOff):
        take_all(POWER_GONE | {"k03/main": "19.2"} | COLD)
    assert not Reading.objects.exists()


def test_a_board_is_loaded_once_for_them_all(take_all: TakeAll, read: Read) -> None:
    read("k03/main", "0.01", taken_at=MORNING)  # the first takes the board in hand

    def asked(points: dict[str, str]) -> int:
        with CaptureQueriesContext(connection) as seen:
            take_all(points)
        return len(seen)

    few = asked({"k03/main": "0.01"})
    more = asked({"k03/mem.q": "0.01", "k03/cpu.core": "0.01", "k03/main": "0.02"})
    # Two savepoints' ends, whose ticket it is, whether it is closed, and the row.
    assert more - few == 2 * 5
    assert few <= 25


def test_what_came_between_two_acts_is_seen_at_once(
    take_all: TakeAll, board: Board, job: Ticket, sami: Person
) -> None:
    first = take_all(POWER_GONE)
    bench.reading_strike(reading=first[0], by=sami)
    with pytest.raises(HeldOff):
        take_all(COLD)
    bench.reading_take(
        board=board,
        ticket=job,
        by=sami,
        point_id="k03/main",
        typed="0.01",
        taken_at=START + timedelta(minutes=5),
    )
    assert len(take_all(COLD)) == 4


def test_a_change_of_the_model_is_seen_by_the_next_reading(
    read: Read, heron: BoardModel, board: Board, ines: Person
) -> None:
    for point, typed in POWER_GONE.items():
        read(point, typed)
    read("k11/sb.33", "210")
    assert queries.judged(board)[-1].verdict.word == "unclear"
    key = "rails.sb.33.ohms.ok_from"
    bench.board_model_patch(board_model=heron, by=ines, key=key, new=200)
    read("k11/sb.33", "210")
    assert queries.judged(board)[-1].verdict.word == "good"


def test_lore_is_asked_for_the_moment_of_each_reading(
    heron: BoardModel, board: Board, ines: Person
) -> None:
    other = bench.reference_board_keep(
        board_model=heron, by=ines, origin=Origin.KNOWN_GOOD, serial="KG-1"
    )
    cold(other, None, ines, "205", taken_at=START)
    known = queries.known_of(board, at=START - timedelta(seconds=20))
    assert known.goods(STANDBY) == []
    assert replace(known, now=START).goods(STANDBY) == [205.0]


def test_lore_that_came_after_a_board_was_loaded_is_seen_by_the_next_load(
    heron: BoardModel, board: Board, ines: Person
) -> None:
    other = bench.reference_board_keep(
        board_model=heron, by=ines, origin=Origin.KNOWN_GOOD, serial="KG-1"
    )
    cold(other, None, ines, "205", taken_at=MORNING)
    assert queries.known_of(board, at=START).goods(STANDBY) == [205.0]
    cold(other, None, ines, "222", taken_at=MORNING + timedelta(minutes=9))
    assert queries.known_of(board, at=START).goods(STANDBY) == [222.0]


def test_leads_that_were_struck_count_no_more(
    read: Read, ines: Person, board: Board
) -> None:
    for point, typed in POWER_GONE.items():
        read(point, typed)
    old, new = read("k04/leads", "0.2"), read("k04/leads", "0.3")
    assert read("k11/sb.33", "210").lead_ohms == 0.3
    bench.reading_strike(reading=new, by=ines)
    assert read("k11/sb.33", "210").lead_ohms == 0.2
    bench.reading_strike(reading=old, by=ines)
    assert read("k11/sb.33", "210").lead_ohms is None
