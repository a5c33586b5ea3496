"""What was done earlier on one tablet and comes in after what another has sent.

What counts is the order in which it was done, as Lamport's "happened before" has it
for one person's acts; the moments of two tablets are set to the house's one clock.
"""

from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics import conditions, ladders, passing, proof_again, queries, skipping
from diagnostics import services as bench
from diagnostics.models import Board, Reading
from shop.intake.models import Ticket
from shop.people.models import Person
from tests.diagnostics.conftest import Read, power_may_be_applied

pytestmark = pytest.mark.django_db
MINUTE = timedelta(minutes=1)


@pytest.fixture
def late(read: Read) -> Reading:
    """Taken at ten past and sent at once; what was taken at five past comes later."""
    hour = timezone.now() - timedelta(hours=1)
    newer = read("k06/main", "62k", taken_at=hour + 10 * MINUTE)
    read("k06/main", "0.4", taken_at=hour + 5 * MINUTE)
    return newer


@pytest.fixture
def gates(read: Read) -> None:
    power_may_be_applied(read, taken_at=timezone.now() - timedelta(hours=2))


def test_the_newest_is_the_last_that_was_taken(
    gates: None, late: Reading, board: Board
) -> None:
    known = queries.known_of(board)
    assert known.newest()["k06/main"].reading == late
    assert passing.holds(known, "k24") == ()
    rung = ladders.rungs(known, ladders.now(known))["main"]
    assert rung.newest is not None
    assert rung.newest.reading == late


def test_a_struck_reading_gives_way_to_the_one_that_came_late(
    gates: None, late: Reading, board: Board, ines: Person
) -> None:
    bench.reading_strike(reading=late, by=ines)
    assert queries.known_of(board).newest()["k06/main"].reading.typed == "0.4"


def test_power_is_gone_only_where_none_was_applied_after_it(
    gates: None, read: Read, board: Board, job: Ticket, ines: Person
) -> None:
    """Power at five past comes in after "power gone" at ten past: that stands."""
    hour = timezone.now() - timedelta(hours=1)
    for rail in ("main", "mem.q", "cpu.core"):
        read(f"k03/{rail}", "0.01", taken_at=hour + 10 * MINUTE)
    on: dict[str, object] = {"board": board, "ticket": job, "by": ines}
    bench.condition_set(**on, check_id="k24", at=hour + 4 * MINUTE)  # type: ignore[arg-type]
    read("k24/supply", "14 mA", taken_at=hour + 5 * MINUTE)
    known = queries.known_of(board)
    assert passing.holds(known, "k06") == ()
    assert conditions.now_of(known).condition == "U"
    read("k24/supply", "14 mA", taken_at=hour + 11 * MINUTE)
    assert passing.holds(queries.known_of(board), "k06") != ()


def test_what_was_passed_by_before_it_was_read_is_read(
    read: Read, board: Board, job: Ticket, ines: Person
) -> None:
    hour = timezone.now() - timedelta(hours=1)
    read("k04/leads", "0.2", taken_at=hour + 10 * MINUTE)
    bench.check_pass_by(
        board=board, ticket=job, by=ines, check_id="k04", why="later", at=hour
    )
    assert "k04" not in skipping.skips_of(queries.known_of(board))


def test_the_leads_are_those_of_the_last_time_they_were_read(
    read: Read, board: Board, ines: Person
) -> None:
    now = timezone.now()
    read("k04/leads", "0.3", taken_at=now - MINUTE)
    read("k04/leads", "0.2", taken_at=now - 2 * MINUTE)
    assert queries.lead_ohms(board.shop, ines, None, now) == 0.3


def test_a_proof_is_read_after_what_was_wrong(
    gates: None, late: Reading, board: Board, job: Ticket
) -> None:
    """Bad at five past, good at ten past: it was read again, whatever came first."""
    assert proof_again.failing(queries.known_of(board), job) == []
