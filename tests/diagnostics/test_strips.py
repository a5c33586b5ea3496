"""Strips of the day list: kept while nothing happens, anew when something does."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.utils import timezone, translation

from diagnostics import services as bench
from diagnostics.marks import marks_of
from diagnostics.models import Board
from diagnostics.strips import strips
from shop.intake.models import Ticket
from shop.people.models import Person
from tests.samples import board_of

QueryCount = Callable[[int], object]


@pytest.fixture
def board(ticket: Ticket, ines: Person) -> Board:
    return board_of(ticket, ines)


def read(board: Board, ticket: Ticket, by: Person, point_id: str, typed: str) -> None:
    bench.reading_take(
        board=board, ticket=ticket, by=by, point_id=point_id, typed=typed
    )


def read_main(board: Board, ticket: Ticket, by: Person, typed: str) -> None:
    read(board, ticket, by, "k04/leads", "0.20")
    for rail in ("main", "mem.q", "cpu.core"):
        read(board, ticket, by, f"k03/{rail}", "0.00")
    read(board, ticket, by, "k06/main", typed)


def test_a_reading_changes_the_strip(
    board: Board, ticket: Ticket, ines: Person
) -> None:
    before = strips([ticket])[ticket.pk]
    read_main(board, ticket, ines, "0.40")
    after = strips([ticket])[ticket.pk]
    assert before.words == "Board: no volts read yet"
    assert after.words == "Board: down at Charge"


def test_a_strike_an_intervention_and_a_patch_change_the_mark(
    board: Board, ticket: Ticket, ines: Person
) -> None:
    marks = {marks_of([board])[board.pk]}
    read_main(board, ticket, ines, "0.40")
    marks.add(marks_of([board])[board.pk])
    newest = board.readings.latest("id")
    bench.reading_strike(reading=newest, by=ines)
    marks.add(marks_of([board])[board.pk])
    bench.intervention_do(board=board, ticket=ticket, by=ines, kind="cleaned")
    marks.add(marks_of([board])[board.pk])
    bench.board_model_patch(
        board_model=board.board_model, by=ines, key="variants.memory", new="ddr5"
    )
    marks.add(marks_of([board])[board.pk])
    marks.add(marks_of([board], at=timezone.now() + timedelta(days=2))[board.pk])
    assert len(marks) == 6


def test_nothing_is_reckoned_again_while_nothing_happens(
    board: Board,
    ticket: Ticket,
    ines: Person,
    django_assert_num_queries: QueryCount,
) -> None:
    read_main(board, ticket, ines, "0.40")
    first = strips([ticket])
    with django_assert_num_queries(8):  # type: ignore[attr-defined]
        again = strips([ticket])
    assert again == first


def test_each_language_has_its_own(board: Board, ticket: Ticket) -> None:
    strips([ticket])
    with translation.override("de"):
        assert strips([ticket])[ticket.pk].stages
