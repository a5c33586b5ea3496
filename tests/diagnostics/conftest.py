"""A shop, two technicians, and a Heron-14 board on the bench."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any, Protocol

import pytest
from django.test import Client

from diagnostics import queries
from diagnostics import services as bench
from diagnostics.bridge import Judged
from diagnostics.models import Board, BoardModel, Reading
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from tests.diagnostics.marking import (  # noqa: F401  fixtures of the circuit finder
    found,
    mark,
    place,
    row,
    top,
)
from tests.factories import TicketFactory

MORNING = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


@pytest.fixture
def job(tomas: Person) -> Ticket:
    return TicketFactory.create(by=tomas, at=MORNING)


@pytest.fixture
def heron(hollin_lane: Shop, ines: Person) -> BoardModel:
    return bench.board_model_keep(
        shop=hollin_lane,
        by=ines,
        number="HR-14-MB",
        family="laptop_barrel",
        name="Heron-14",
    )


@pytest.fixture
def board(job: Ticket, ines: Person, heron: BoardModel) -> Board:
    return bench.board_join(
        ticket=job, by=ines, board_model=heron, serial="R7-0001", at=MORNING
    )


class Read(Protocol):
    def __call__(self, point_id: str, typed: str = "", **words: Any) -> Reading: ...


@pytest.fixture
def read(board: Board, job: Ticket, ines: Person) -> Read:
    """Take readings one minute apart, as a technician would."""
    clock = {"at": MORNING + timedelta(hours=1)}

    def take(point_id: str, typed: str = "", **words: Any) -> Reading:
        clock["at"] += timedelta(minutes=1)
        fields: dict[str, Any] = {"board": board, "ticket": job, "by": ines}
        fields["taken_at"] = clock["at"]
        return bench.reading_take(point_id=point_id, typed=typed, **fields | words)

    return take


def power_may_be_applied(read: Read, **when: Any) -> None:
    """Case B of the brief."""
    for rail in ("main", "mem.q", "cpu.core"):
        read(f"k03/{rail}", "0.01", **when)
    read("k04/leads", "0.2", **when)
    for point_id, typed in {
        "k05/in.jack": "48k",
        "k06/main": "62k",
        "k06/main.in": "62k",
        "k11/sb.33": "410",
        "k11/sb.5": "2.3k",
        "k17/cpu.core": "4.0",
        "k16/gfx.core": "2.9",
    }.items():
        read(point_id, typed, **when)


@pytest.fixture
def cold(read: Read, board: Board, job: Ticket, ines: Person) -> None:
    """Every cold gate passed: power may be applied."""
    bench.point_not_fitted(board=board, ticket=job, by=ines, point_id="graphics")
    for rail in ("main", "mem.q", "cpu.core"):
        read(f"k03/{rail}", "0.01")
    read("k04/leads", "0.2")
    for point_id, typed in (
        ("k06/main", "62k"),
        ("k06/main.in", "62k"),
        ("k11/sb.33", "410"),
        ("k11/sb.5", "2.3k"),
        ("k17/cpu.core", "4.0"),
    ):
        read(point_id, typed)


@pytest.fixture
def verdict_of(board: Board) -> Callable[[Reading], Judged]:
    def judged(reading: Reading) -> Judged:
        known = queries.known_of(board)
        return next(one for one in known.judged if one.reading.pk == reading.pk)

    return judged


@pytest.fixture
def at_bench(client: Client, ines: Person) -> Client:
    client.force_login(ines)
    return client
