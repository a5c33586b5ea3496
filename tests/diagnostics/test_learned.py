"""What a shop learns of a board model, from its tickets alone."""

from datetime import timedelta
from typing import Any

import pytest

from diagnostics import advising, clouds, learned, queries
from diagnostics import services as bench
from diagnostics.engine.assessment import Assessment
from diagnostics.engine.boards import load_family
from diagnostics.models import Board, BoardModel
from shop.people.models import Person
from tests.diagnostics.conftest import MORNING
from tests.diagnostics.test_lore import reference
from tests.factories import TicketFactory

LATER = MORNING + timedelta(days=60)
pytestmark = [pytest.mark.usefixtures("suspecting"), pytest.mark.one_database]


def said(board: Board) -> Assessment:
    found = advising.assessment_of(queries.known_of(board, at=LATER))
    assert found is not None
    return found


def share(found: Assessment, part: str) -> float:
    return sum(one.probability for one in found.suspects if one.part_id == part)


def repaired(heron: BoardModel, by: Person, part: str, mode: str, serial: str) -> Board:
    """Another board of the model, on its own ticket, repaired and proven."""
    ticket = TicketFactory.create(by=by, at=MORNING)
    board = bench.board_join(
        ticket=ticket, by=by, board_model=heron, serial=serial, at=MORNING
    )
    words: dict[str, Any] = {"board": board, "ticket": ticket, "by": by, "at": MORNING}
    bench.intervention_do(kind="replaced", part_id=part, **words)
    bench.finding_confirm(part_id=part, mode_id=mode, is_proven=True, **words)
    return board


def test_proven_findings_move_the_weights_of_the_model(
    board: Board, heron: BoardModel, ines: Person, tomas: Person
) -> None:
    before = said(board)
    assert before.learned.findings == 0
    for number in range(4):
        repaired(heron, ines, "p.btn", "stuck", f"R7-1{number}")
    after = said(board)
    assert share(after, "p.btn") > 1.5 * share(before, "p.btn")
    assert after.learned.findings == 4
    blocks = {part.block for part in load_family("laptop_barrel").parts.values()}
    assert after.learned.shop_share == pytest.approx(4 / (4 + 20 * len(blocks)))


def test_a_finding_that_is_not_proven_or_of_this_board_teaches_nothing(
    board: Board, job: object, heron: BoardModel, ines: Person
) -> None:
    ticket = TicketFactory.create(by=ines, at=MORNING)
    other = bench.board_join(
        ticket=ticket, by=ines, board_model=heron, serial="R7-2", at=MORNING
    )
    bench.finding_confirm(
        board=other, ticket=ticket, by=ines, part_id="p.btn", mode_id="stuck"
    )
    assert learned.findings(queries.known_of(board, at=LATER)) == []
    mine = repaired(heron, ines, "p.btn", "stuck", "R7-3")
    assert learned.findings(queries.known_of(mine, at=LATER)) == []
    assert len(learned.findings(queries.known_of(board, at=LATER))) == 1


def test_good_boards_of_the_model_make_an_odd_reading_tell_more(
    board: Board, job: object, heron: BoardModel, ines: Person
) -> None:
    """310 ohm is usual for the family, and half of what this model reads."""
    for ohms in ("1.20k", "1.23k", "1.21k", "1.22k"):
        reference(heron, ines, ohms)
    known = queries.known_of(board, at=LATER)
    found = said(board)
    assert found.learned.boards == 4
    model = clouds.model_for(known.board)
    assert model is not None
    usual = learned.of_model(known, model).usual
    at = model.kernels.place["k11/sb.33"]
    assert usual[at].weight == pytest.approx(4 / 5)
