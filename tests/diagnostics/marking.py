"""Marks on a Heron-14's outline, for the tests of the circuit finder."""

from collections.abc import Callable
from typing import Any

import pytest

from diagnostics import queries, services
from diagnostics.finder import Finding, finding_of
from diagnostics.models import Board, BoardMark, BoardModel, BoardPicture, CircuitWord
from diagnostics.place import Place
from shop.intake.models import Ticket
from shop.people.models import Person

Mark = Callable[..., BoardMark]


@pytest.fixture
def top(heron: BoardModel, ines: Person) -> BoardPicture:
    return services.outline_keep(board_model=heron, by=ines, side="top", outline="wide")


@pytest.fixture
def mark(top: BoardPicture, ines: Person) -> Mark:
    def set_mark(kind: str, x: float, y: float, **more: Any) -> BoardMark:
        asked: dict[str, Any] = {
            "picture": top,
            "by": ines,
            "kind": kind,
            "x": x,
            "y": y,
        }
        return services.mark_set(**asked | more)

    return set_mark


def coil(mark: Mark, x: float, y: float, size: int = 2, **more: object) -> BoardMark:
    return mark("inductor", x, y, **{"size": size, "look": "a"} | more)


@pytest.fixture
def row(mark: Mark) -> list[BoardMark]:
    """Three large inductors in a row by the CPU, and one by the memory."""
    mark("cpu", 0.4, 0.4)
    mark("memory", 0.8, 0.4)
    return [coil(mark, 0.36 + n * 0.04, 0.32, 3) for n in range(3)]


@pytest.fixture
def found(heron: BoardModel, board: Board) -> Callable[[], Finding]:
    return lambda: finding_of(heron, queries.engine_board(board))


@pytest.fixture
def place(job: Ticket, board: Board) -> Place:
    return Place(job, board)


def say(
    model: BoardModel, by: Person, marks: list[BoardMark], what: str, **more: Any
) -> CircuitWord:
    circuit, _slash, rail = what.partition("/")
    return services.circuit_say(
        board_model=model,
        by=by,
        marks=[one.pk for one in marks],
        circuit=circuit,
        rail_id=rail,
        **more,
    )
