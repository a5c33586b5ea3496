"""Taking, putting down, undoing: the events that people's clocks go by."""

from datetime import datetime, timedelta

import pytest

from diagnostics import holding
from diagnostics import services as bench
from diagnostics.models import Board, BoardModel
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.models import Event
from tests.diagnostics.conftest import MORNING, Read
from tests.factories import TicketFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def job2(tomas: Person) -> Ticket:
    return TicketFactory.create(by=tomas, at=MORNING)


@pytest.fixture
def board2(job2: Ticket, ines: Person, heron: BoardModel) -> Board:
    return bench.board_join(
        ticket=job2, by=ines, board_model=heron, serial="R7-0002", at=MORNING
    )


def after(minutes: int) -> datetime:
    return MORNING + timedelta(minutes=minutes)


def moves(board: Board) -> list[tuple[str, int | None, int]]:
    """What happened to a board: kind, whose clock it is about, minutes."""
    told = Event.objects.filter(board_id=board.pk, kind__in=holding.IN_HAND)
    return [
        (e.kind, e.person_id, round((e.at - MORNING).total_seconds() / 60))
        for e in told.order_by("at", "id")
    ]


def undo(person: Person, minutes: int) -> None:
    taken = holding.newest_taking(person)
    assert taken is not None
    bench.board_take_back(taken_id=taken.pk, by=person, at=after(minutes))


def test_putting_down_is_of_the_clock_that_stops_whoever_does_it(
    board: Board, job: Ticket, ines: Person, sami: Person, tomas: Person
) -> None:
    bench.board_take(board=board, ticket=job, by=ines, at=after(1))
    bench.board_take(board=board, ticket=job, by=sami, at=after(5))
    intake.ticket_park(
        ticket=job,
        by=tomas,
        until=None,
        because="no_answer",
        waits_for="customer",
        at=after(9),
    )
    assert moves(board) == [
        ("board_taken", ines.pk, 1),
        ("board_put_down", ines.pk, 5),
        ("board_taken", sami.pk, 5),
        ("board_put_down", sami.pk, 9),
    ]


def test_undo_puts_the_clock_back_once(
    board: Board, board2: Board, job: Ticket, job2: Ticket, ines: Person
) -> None:
    bench.board_take(board=board, ticket=job, by=ines, at=after(1))
    bench.board_take(board=board2, ticket=job2, by=ines, at=after(10))
    taken = holding.newest_taking(ines)
    assert taken is not None
    for minute in (12, 13):
        bench.board_take_back(taken_id=taken.pk, by=ines, at=after(minute))
    assert holding.boards_in_hand(ines) == [(board.pk, job.pk)]
    assert holding.holder_of(board2) is None
    assert len(moves(board2)) == 2


def test_undo_of_a_first_taking_leaves_the_hands_empty(
    board: Board, job: Ticket, ines: Person
) -> None:
    bench.board_take(board=board, ticket=job, by=ines, at=after(1))
    undo(ines, 2)
    assert holding.boards_in_hand(ines) == []


def test_nobody_undoes_what_they_went_on_from_or_what_is_anothers(
    board: Board, board2: Board, job: Ticket, job2: Ticket, ines: Person, sami: Person
) -> None:
    bench.board_take(board=board, ticket=job, by=ines, at=after(1))
    first = holding.newest_taking(ines)
    assert first is not None
    bench.board_take_back(taken_id=first.pk, by=sami, at=after(2))
    assert holding.holder_of(board) == ines.pk
    bench.board_put_down(board=board, ticket=job, by=ines, at=after(3))
    with pytest.raises(Refused, match="went on"):
        bench.board_take_back(taken_id=first.pk, by=ines, at=after(4))
    bench.board_take(board=board, ticket=job, by=ines, at=after(5))
    bench.board_take(board=board2, ticket=job2, by=ines, at=after(6))
    bench.board_take(board=board, ticket=job, by=sami, at=after(7))
    with pytest.raises(Refused, match="Somebody else"):
        undo(ines, 8)


def test_a_taking_told_late_ends_where_the_next_one_began(
    board: Board, board2: Board, job: Ticket, job2: Ticket, ines: Person
) -> None:
    bench.board_take(board=board2, ticket=job2, by=ines, at=after(30))
    bench.board_take(board=board, ticket=job, by=ines, at=after(10))
    assert holding.boards_in_hand(ines) == [(board2.pk, job2.pk)]
    assert moves(board) == [
        ("board_taken", ines.pk, 10),
        ("board_put_down", ines.pk, 30),
    ]


def test_late_readings_take_a_board_once_and_leave_it_to_who_has_it_now(
    read: Read, board: Board, job: Ticket, ines: Person, sami: Person
) -> None:
    bench.board_take(board=board, ticket=job, by=sami, at=after(30))
    read("k03/main", "0.01", taken_at=after(10))
    read("k03/mem.q", "0.01", taken_at=after(11))
    assert holding.holder_of(board) == sami.pk
    assert holding.holder_of(board, after(12)) == ines.pk
    assert [kind for kind, _who, _at in moves(board)].count("board_taken") == 2


def test_work_on_a_board_takes_it_as_a_reading_does(
    board: Board, job: Ticket, ines: Person
) -> None:
    bench.intervention_do(board=board, ticket=job, by=ines, kind="cleaned", at=after(1))
    assert holding.holder_of(board) == ines.pk
