"""Board lore: what good boards of a model read, since when, and when no longer."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics import lore, papers, queries
from diagnostics import services as bench
from diagnostics.engine.lore import Like
from diagnostics.models import Board, BoardModel, KeptGood, Origin, Reading
from diagnostics.place import Place
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from tests.diagnostics.conftest import MORNING, Read
from tests.diagnostics.test_bench_page import act_of, keyed, page_of
from tests.factories import TicketFactory
from tests.proving import proved

STANDBY = Like("k11/sb.33")
BETWEEN = "210"  # ohms: above "watch below" 100, under "ok from" 300
LATER = MORNING + timedelta(days=30)


def reference(
    heron: BoardModel,
    by: Person,
    ohms: str,
    *,
    origin: str = Origin.KNOWN_GOOD,
    taken_at: datetime = MORNING,
) -> Reading:
    """A good board of the shop's, and what its standby 3.3 V reads cold."""
    board = bench.reference_board_keep(
        board_model=heron, by=by, origin=origin, serial=f"KG-{uuid4().hex[:6]}"
    )
    return cold(board, None, by, ohms, taken_at=taken_at)


def cold(
    board: Board, ticket: Ticket | None, by: Person, ohms: str, **words: Any
) -> Reading:
    taken: dict[str, Any] = {"taken_at": MORNING, **words}
    fields: dict[str, Any] = {"board": board, "ticket": ticket, "by": by}
    for rail in ("main", "mem.q", "cpu.core"):
        bench.reading_take(point_id=f"k03/{rail}", typed="0.01", **fields, **taken)
    return bench.reading_take(point_id="k11/sb.33", typed=ohms, **fields, **taken)


def goods(board: Board, at: datetime = LATER) -> list[float]:
    return queries.known_of(board, at=at).goods(STANDBY)


def word(board: Board, reading: Reading, at: datetime = LATER) -> str:
    known = queries.known_of(board, at=at)
    one = next(one for one in known.judged if one.reading.pk == reading.pk)
    return one.verdict.word.value


# --- reference sessions ---


def test_three_good_boards_settle_what_the_family_leaves_unclear(
    heron: BoardModel, ines: Person, board: Board, job: Ticket
) -> None:
    taken = cold(board, job, ines, BETWEEN)
    words = [word(board, taken)]
    for ohms in ("205", "214", "208"):
        reference(heron, ines, ohms)
        words.append(word(board, taken))
    assert words == ["unclear", "unclear", "unclear", "good"]


def test_a_board_never_vouches_for_itself(heron: BoardModel, ines: Person) -> None:
    own = reference(heron, ines, "205")
    reference(heron, ines, "214")
    assert goods(own.board) == [214.0]


def test_the_newest_reading_of_a_board_counts_alone(
    heron: BoardModel, ines: Person, board: Board
) -> None:
    first = reference(heron, ines, "205")
    cold(first.board, None, ines, "222")
    assert goods(board) == [222.0]


def test_only_a_board_that_was_read_is_looked_at_anew(
    heron: BoardModel, ines: Person, board: Board, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second = (reference(heron, ines, ohms) for ohms in ("205", "214"))
    goods(board), goods(first.board)
    looked: list[int] = []
    load = lore.facts_of

    def facts_of(boards: Sequence[Board]) -> Any:
        looked.extend(one.pk for one in boards)
        return load(boards)

    monkeypatch.setattr(lore, "facts_of", facts_of)
    cold(first.board, None, ines, "222")
    assert (goods(first.board), looked) == ([214.0], [])
    assert (goods(board), looked) == ([214.0, 222.0], [first.board_id])
    bench.reading_strike(reading=second, by=ines)
    assert goods(board) == [222.0]
    assert looked == [first.board_id, second.board_id]


def test_a_struck_reading_counts_no_more(
    heron: BoardModel, ines: Person, board: Board
) -> None:
    taken = reference(heron, ines, "205")
    assert goods(board) == [205.0]
    bench.reading_strike(reading=taken, by=ines)
    assert goods(board) == []


def test_a_donors_doubtful_reading_counts_for_nothing(
    heron: BoardModel, ines: Person, board: Board
) -> None:
    reference(heron, ines, BETWEEN, origin=Origin.DONOR)
    reference(heron, ines, "500", origin=Origin.DONOR)
    assert goods(board) == [500.0]


def test_a_reference_board_found_faulty_there_drops_out(
    heron: BoardModel, ines: Person, board: Board
) -> None:
    taken = reference(heron, ines, "205")
    bench.finding_confirm(
        board=taken.board,
        ticket=None,
        by=ines,
        part_id="p.csb",
        mode_id="short",
        at=LATER,
    )
    assert goods(board, LATER - timedelta(hours=1)) == [205.0]
    assert goods(board, LATER + timedelta(hours=1)) == []


def test_another_model_learns_nothing_from_it(
    heron: BoardModel, ines: Person, job: Ticket
) -> None:
    reference(heron, ines, "205")
    other = bench.board_model_keep(
        shop=job.shop, by=ines, number="PL-15", family="laptop_barrel"
    )
    board = bench.board_join(ticket=job, by=ines, board_model=other, serial="P1")
    assert goods(board) == []


# --- customers' boards ---


@pytest.fixture
def repaired(job: Ticket, board: Board, ines: Person) -> Ticket:
    """A shorted capacitor on main, replaced; standby read before and after."""
    cold(board, job, ines, "410")
    bench.intervention_do(
        board=board,
        ticket=job,
        by=ines,
        kind="replaced",
        part_id="p.cmain",
        at=MORNING + timedelta(hours=1),
    )
    cold(board, job, ines, "415", taken_at=MORNING + timedelta(hours=2))
    bench.finding_confirm(
        board=board,
        ticket=job,
        by=ines,
        part_id="p.cmain",
        mode_id="short",
        is_proven=True,
        at=MORNING + timedelta(hours=3),
    )
    return job


@pytest.fixture
def next_board(heron: BoardModel, ines: Person, tomas: Person) -> Board:
    """The next board of the same model that comes in."""
    job = TicketFactory.create(by=tomas, at=MORNING)
    return bench.board_join(ticket=job, by=ines, board_model=heron, serial="R7-2")


def fixed(ticket: Ticket, by: Person) -> None:
    intake.outcome_record(
        ticket=proved(ticket, by), by=by, kind="fixed", at=MORNING + timedelta(hours=4)
    )


def test_a_repaired_board_teaches_once_its_ticket_ends_as_fixed(
    repaired: Ticket, next_board: Board, ines: Person
) -> None:
    assert goods(next_board) == []
    fixed(repaired, ines)
    assert goods(next_board) == [415.0]
    assert goods(next_board, MORNING + timedelta(hours=3)) == []


def test_before_readings_out_of_the_faults_reach_are_offered_and_kept(
    at_bench: Client, repaired: Ticket, board: Board, next_board: Board, ines: Person
) -> None:
    offered = [one.point_id for one in lore.untouched_of(board, repaired)]
    assert offered == ["k11/sb.33"]
    html = at_bench.get(page_of(repaired, board)).content.decode()
    assert "Keep as good for HR-14-MB" in html
    at_bench.post(act_of(repaired, board, "lore_keep"), keyed())
    kept = KeptGood.objects.get()
    assert (kept.reading.value, kept.by) == (410.0, ines)
    assert lore.untouched_of(board, repaired) == []


def test_what_the_fault_may_have_touched_is_not_offered(
    repaired: Ticket, board: Board, ines: Person, read: Read
) -> None:
    assert "k03/main" not in {o.point_id for o in lore.untouched_of(board, repaired)}
    with pytest.raises(Refused, match="nothing here to keep"):
        bench.lore_keep(board=board, ticket=None, by=ines)


def test_a_board_back_with_a_fault_there_drops_out(
    repaired: Ticket, board: Board, next_board: Board, ines: Person, tomas: Person
) -> None:
    fixed(repaired, ines)
    again = TicketFactory.create(by=tomas, at=LATER)
    bench.board_join(
        ticket=again, by=ines, board_model=board.board_model, serial=board.serial
    )
    bench.finding_confirm(
        board=board,
        ticket=again,
        by=ines,
        part_id="p.lsb",
        mode_id="short",
        at=LATER + timedelta(hours=1),
    )
    assert goods(next_board, LATER) == [415.0]
    assert goods(next_board, LATER + timedelta(hours=2)) == []


def test_a_fault_elsewhere_leaves_its_readings(
    repaired: Ticket, board: Board, next_board: Board, ines: Person
) -> None:
    fixed(repaired, ines)
    bench.finding_confirm(
        board=board,
        ticket=None,
        by=ines,
        part_id="p.gfx",
        mode_id=board_mode(board, "p.gfx"),
        at=LATER,
    )
    assert goods(next_board, LATER + timedelta(hours=1)) == [415.0]


def board_mode(board: Board, part_id: str) -> str:
    return queries.engine_board(board).parts[part_id].modes[0].id


def test_a_repair_is_provisional_until_its_warranty_has_run(
    repaired: Ticket, heron: BoardModel, ines: Person
) -> None:
    fixed(repaired, ines)
    one = next(
        o
        for o in lore.entries_of([heron], {}, timezone.now())[heron.pk]
        if o.like == STANDBY
    )
    assert one.is_provisional(LATER, 90)
    intake.handover_do(ticket=repaired, by=ines, given_to="Ada Pell", at=LATER)
    one = next(
        o
        for o in lore.entries_of([heron], {}, timezone.now())[heron.pk]
        if o.like == STANDBY
    )
    assert one.is_provisional(LATER + timedelta(days=89), 90)
    assert not one.is_provisional(LATER + timedelta(days=90), 90)


def test_what_is_learned_later_changes_no_proof_sheet(
    repaired: Ticket, heron: BoardModel, ines: Person, board: Board
) -> None:
    before = papers.proof_sheet_html(repaired)
    for ohms in ("1200", "1250", "1230"):
        reference(heron, ines, ohms, taken_at=LATER)
    newest = board.readings.filter(point_id="k11/sb.33").latest("id")
    assert word(board, newest, LATER + timedelta(hours=1)) == "watch"
    assert papers.proof_sheet_html(repaired) == before


# --- pages ---


def test_the_card_shows_the_good_boards_beside_the_reading(
    at_bench: Client, heron: BoardModel, ines: Person, board: Board, job: Ticket
) -> None:
    for ohms in ("205", "214", "208"):
        reference(heron, ines, ohms)
    taken = cold(board, job, ines, BETWEEN)
    html = at_bench.get(page_of(job, board, reading=taken.pk)).content.decode()
    assert "3 good boards beside it: 205" in html
    assert "The 3 good boards of this model read" in html
    assert "with 95\N{NO-BREAK SPACE}% confidence" in html


def test_the_lore_page_lists_every_board_and_flags_the_odd_one(
    at_bench: Client, heron: BoardModel, ines: Person
) -> None:
    for ohms in ("400", "410", "405", "415", "900"):
        reference(heron, ines, ohms)
    folded = at_bench.get(heron.get_absolute_url()).content.decode()
    assert "5 good boards read" in folded
    assert "1 odd" in folded
    assert "900" not in folded
    standby = heron.get_absolute_url() + "?stage=standby"
    html = at_bench.get(standby).content.decode()
    assert "5 boards" in html
    assert html.count("<b>odd</b>") == 1
    assert "900\N{NO-BREAK SPACE}Ω <b>odd</b>" in html


def test_a_model_without_good_boards_says_how_to_get_them(
    at_bench: Client, heron: BoardModel
) -> None:
    html = at_bench.get(heron.get_absolute_url()).content.decode()
    assert "no good board read yet" in html
    assert reverse("diagnostics:references") in html


def test_the_fitted_set_of_the_last_reading_is_ticked_for_the_next(
    at_bench: Client, board: Board, job: Ticket, ines: Person
) -> None:
    cold(board, job, ines, "400", fitted=["modules"])
    html = at_bench.get(Place(job, board).url(check="k11")).content.decode()
    box = html.partition('value="modules"')[2].partition(">")[0]
    assert "checked" in box
