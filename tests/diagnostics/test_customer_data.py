"""The customer's data: safe first where agreed, never locked out unasked."""

import pytest
from django.db import DatabaseError, transaction
from django.test import Client

from diagnostics import passing, queries
from diagnostics import services as bench
from diagnostics.models import Board, DiskWord, Intervention
from diagnostics.services.data import may_lock_disk
from shop.intake.models import Goal, Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event
from tests.diagnostics.conftest import Read
from tests.diagnostics.test_bench_page import act_of, gone, keyed, page_of

# Domain brief, section 10: "rewrites flash or changes chipset, controller or CPU".
LOCKING = {"p.flash", "p.ec", "p.cs", "p.cpu"}


@pytest.fixture
def data_first(job: Ticket) -> Ticket:
    job.goal = Goal.DATA_FIRST
    job.save(update_fields=["goal"])
    return job


def test_the_parts_are_the_familys_own(board: Board) -> None:
    parts = queries.known_of(board).board.parts.values()
    assert {part.id for part in parts if part.locks_disk} == LOCKING


@pytest.mark.parametrize(
    ("kind", "part_id", "may_lock"),
    [
        ("replaced", "p.cpu", True),
        ("removed", "p.cs", True),
        ("fitted", "p.ec", True),
        ("reflowed", "p.cpu", True),
        ("rewritten", "p.flash", True),
        ("rewritten", "", True),
        ("cleaned", "p.cpu", False),
        ("lifted", "p.flash", False),
        ("replaced", "p.dual", False),
        ("replaced", "", False),
        ("erased", "", False),
    ],
)
def test_what_may_lock_a_disk(
    board: Board, kind: str, part_id: str, may_lock: bool
) -> None:
    assert may_lock_disk(queries.known_of(board), kind, part_id) is may_lock


# --- one of three is ticked -------------------------------------------------------


def test_unticked_it_is_refused_beside_the_field_and_nothing_is_kept(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    asked = keyed(kind="replaced", part_id="p.flash", place="by the controller")
    answer = at_bench.post(act_of(job, board, "intervention"), asked)
    html = answer.content.decode()
    assert answer.status_code == 422
    assert 'id="done_disk_error"' in html
    assert "tick one of the three" in html
    assert "by the controller" in html
    assert not board.interventions.exists()
    assert not Event.objects.filter(kind=Kind.INTERVENTION_DONE).exists()


@pytest.mark.parametrize("disk", DiskWord.values)
def test_the_tick_is_kept_with_what_was_done(
    at_bench: Client, job: Ticket, board: Board, disk: str
) -> None:
    asked = keyed(kind="rewritten", part_id="p.flash", disk=disk)
    answer = at_bench.post(act_of(job, board, "intervention"), asked)
    assert answer.status_code == 302
    done = board.interventions.get()
    assert done.disk == disk
    told = Event.objects.get(kind=Kind.INTERVENTION_DONE)
    assert told.codes == {"kind": "rewritten", "part": "p.flash", "disk": disk}
    html = at_bench.get(page_of(job, board)).content.decode()
    assert f"({DiskWord(disk).label})" in html


def test_what_is_kept_is_never_changed(board: Board, job: Ticket, ines: Person) -> None:
    """The table was altered for the tick; its triggers stand."""
    bench.intervention_do(
        board=board,
        ticket=job,
        by=ines,
        kind="replaced",
        part_id="p.ec",
        disk="key_seen",
    )
    with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
        Intervention.objects.update(disk="not_encrypted")


def test_words_of_ones_own_are_no_tick(board: Board, job: Ticket, ines: Person) -> None:
    with pytest.raises(Refused) as refused:
        bench.intervention_do(
            board=board, ticket=job, by=ines, kind="cleaned", disk="she said so"
        )
    assert refused.value.field == "disk"


def test_a_board_without_a_customer_has_no_disk_to_lock(
    board: Board, ines: Person
) -> None:
    board.ticket_boards.all().delete()
    done = bench.intervention_do(
        board=board, ticket=None, by=ines, kind="removed", part_id="p.cpu"
    )
    assert done.disk == ""


# --- data first -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "part_id", "field"),
    [
        ("erased", "", "kind"),
        ("reinstalled", "", "kind"),
        ("rewritten", "", "kind"),
        ("rewritten", "p.flash", "part_id"),
        ("replaced", "p.cs", "part_id"),
        ("replaced", "p.ec", "part_id"),
        ("replaced", "p.cpu", "part_id"),
    ],
)
def test_held_off_until_the_data_is_safe(
    board: Board, data_first: Ticket, ines: Person, kind: str, part_id: str, field: str
) -> None:
    """model.md: erasing, reinstalling, flash rewriting, chipset, controller change."""

    def do() -> None:
        bench.intervention_do(
            board=board,
            ticket=data_first,
            by=ines,
            kind=kind,
            part_id=part_id,
            disk="key_seen",
        )

    with pytest.raises(Refused, match="Data first") as refused:
        do()
    assert refused.value.field == field
    bench.data_safe_record(board=board, ticket=data_first, by=ines)
    do()
    assert board.interventions.count() == 1


def test_other_work_need_not_wait_for_the_data(
    board: Board, data_first: Ticket, ines: Person
) -> None:
    bench.intervention_do(
        board=board, ticket=data_first, by=ines, kind="replaced", part_id="p.dual"
    )
    assert board.interventions.count() == 1


def test_the_data_is_recorded_as_safe_on_the_bench_and_once(
    at_bench: Client, board: Board, data_first: Ticket
) -> None:
    url = act_of(data_first, board, "data_safe")
    assert (
        "The data is safe" in at_bench.get(page_of(data_first, board)).content.decode()
    )
    assert at_bench.post(url, keyed()).status_code == 422, "how is asked for"
    assert at_bench.post(url, keyed(how="copied")).status_code == 302
    assert at_bench.post(url, keyed()).status_code == 422
    assert Event.objects.filter(kind=Kind.DATA_SAFE).count() == 1
    html = at_bench.get(page_of(data_first, board)).content.decode()
    assert "The data is safe" not in html
    assert "DATA FIRST" in html


def test_a_reference_board_has_no_data(board: Board, ines: Person) -> None:
    with pytest.raises(Refused):
        bench.data_safe_record(board=board, ticket=None, by=ines)


def test_what_lies_on_a_drive_is_no_net_of_the_board(
    board: Board, job: Ticket, ines: Person, read: Read
) -> None:
    """Readings stay in force: erasing a drive changes no rail."""
    gone(read)
    main = read("k06/main", "41k")
    bench.intervention_do(board=board, ticket=job, by=ines, kind="reinstalled")
    known = queries.known_of(board)
    one = next(j for j in known.judged if j.reading.pk == main.pk)
    assert not passing.touches(known, known.interventions[-1], one.point)
