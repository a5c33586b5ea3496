"""What was said before a repair, against what the repair proved."""

from datetime import timedelta
from typing import Any

import pytest
from django.core.cache import cache as shared
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from diagnostics import advising, calibrating
from diagnostics import services as bench
from diagnostics.bridge import Known
from diagnostics.engine.assessment import Assessment, Suspect
from diagnostics.engine.calibration import EDGES, place_of
from diagnostics.models import Advice, Board, BoardModel, Finding
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from shop.records.cache import cache
from tests.diagnostics.conftest import MORNING
from tests.factories import TicketFactory

HOUR = timedelta(hours=1)


def saying(*suspects: tuple[str, str, float]) -> Assessment:
    found = tuple(Suspect(part, mode, "", share) for part, mode, share in suspects)
    return Assessment(
        suspects=found,
        no_fault=0.0,
        something_else=0.1,
        confidence=0.8,
        offers=(),
        stop=None,
        confirm=None,
        disagreements=(),
        measured=3,
        not_looked_at=(),
    )


@pytest.fixture
def says(monkeypatch: pytest.MonkeyPatch) -> None:
    """The engine holds it to be the controller: 0.8, over two ways of failing."""
    said = saying(
        ("p.dual", "no_output", 0.6),
        ("p.csb", "short", 0.1),
        ("p.dual", "short_keep", 0.2),
    )

    def assessment_of(known: Known) -> Assessment:
        return said

    monkeypatch.setattr(advising, "assessment_of", assessment_of)


def repaired(job: Ticket, by: Person, model: BoardModel, part: str, mode: str) -> Board:
    """Named, replaced, proven: an hour each."""
    board = bench.board_join(ticket=job, by=by, board_model=model, at=MORNING)
    act: dict[str, Any] = {"board": board, "ticket": job, "by": by}
    bench.suspect_name(**act, part_id="p.dual", mode_id="no_output", at=MORNING)
    bench.intervention_do(**act, kind="replaced", part_id=part, at=MORNING + HOUR)
    bench.finding_confirm(
        **act, part_id=part, mode_id=mode, is_proven=True, at=MORNING + 2 * HOUR
    )
    return board


def counted(shop: Shop) -> list[tuple[int, int]]:
    return [(one.right, one.said) for one in calibrating.of_shop(shop)]


def test_a_part_is_right_whatever_its_way_of_failing(
    says: None, job: Ticket, ines: Person, heron: BoardModel, hollin_lane: Shop
) -> None:
    assert counted(hollin_lane) == [(0, 0)] * 5
    repaired(job, ines, heron, "p.dual", "short_keep")
    assert counted(hollin_lane)[place_of(0.8)] == (1, 1)
    other = TicketFactory.create(by=ines)
    repaired(other, ines, heron, "p.csb", "short")
    assert counted(hollin_lane)[place_of(0.8)] == (1, 2)


def test_what_was_said_after_the_repair_is_no_forecast(
    says: None, job: Ticket, ines: Person, heron: BoardModel, hollin_lane: Shop
) -> None:
    board = bench.board_join(ticket=job, by=ines, board_model=heron, at=MORNING)
    act: dict[str, Any] = {"board": board, "ticket": job, "by": ines}
    bench.intervention_do(**act, kind="replaced", part_id="p.dual", at=MORNING)
    bench.suspect_name(**act, part_id="p.dual", mode_id="no_output", at=MORNING + HOUR)
    bench.finding_confirm(
        **act, part_id="p.dual", mode_id="no_output", is_proven=True, at=MORNING + HOUR
    )
    assert counted(hollin_lane) == [(0, 0)] * 5


def test_another_shop_counts_its_own(
    says: None, job: Ticket, ines: Person, heron: BoardModel, elsewhere: Person
) -> None:
    repaired(job, ines, heron, "p.dual", "no_output")
    theirs = elsewhere.memberships.get(role="owner").shop
    assert counted(theirs) == [(0, 0)] * 5


def test_two_findings_of_one_repair_are_two_cases(
    says: None, job: Ticket, ines: Person, heron: BoardModel, hollin_lane: Shop
) -> None:
    board = repaired(job, ines, heron, "p.dual", "short_keep")
    bench.finding_confirm(
        board=board,
        ticket=job,
        by=ines,
        part_id="p.csb",
        mode_id="short",
        is_proven=True,
        at=MORNING + 3 * HOUR,
    )
    assert counted(hollin_lane)[place_of(0.8)] == (1, 2)


def test_what_was_counted_before_is_added_to(
    says: None,
    job: Ticket,
    ines: Person,
    heron: BoardModel,
    hollin_lane: Shop,
    elsewhere: Person,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Piece by piece and from what was kept, it is what counting all of it gives."""
    theirs = elsewhere.memberships.get(role="owner").shop
    monkeypatch.setattr(calibrating, "PIECE", 2)
    monkeypatch.setattr(calibrating, "TAIL", 1)
    for number in range(7):
        part, mode = (("p.dual", "short_keep"), ("p.csb", "short"))[number % 2]
        repaired(TicketFactory.create(by=ines), ines, heron, part, mode)
        expected = (number // 2 + 1, number + 1)
        assert counted(hollin_lane)[place_of(0.8)] == expected
        assert counted(theirs) == [(0, 0)] * 5
    _edges, until, _sums = shared.get(f"calibrated-{hollin_lane.pk}")
    assert 0 < until < Finding.objects.latest("pk").pk
    cache.clear()
    with CaptureQueriesContext(connection) as asked:
        assert counted(hollin_lane)[place_of(0.8)] == (4, 7)
    assert len(asked) <= 6


def test_numbers_that_went_back_are_counted_anew(
    says: None, job: Ticket, ines: Person, heron: BoardModel, hollin_lane: Shop
) -> None:
    """A backup was brought back: what was kept is of findings that are gone."""
    far = (EDGES, 10**9, [(9, 9)] * 5)
    shared.set(f"calibrated-{hollin_lane.pk}", far, timeout=None)
    repaired(job, ines, heron, "p.dual", "short_keep")
    assert counted(hollin_lane)[place_of(0.8)] == (1, 1)


def test_nothing_said_is_no_bin(hollin_lane: Shop) -> None:
    assert calibrating.bin_now(hollin_lane, saying()) is None


def test_the_page_says_what_it_turned_out_to_be(
    says: None,
    job: Ticket,
    ines: Person,
    heron: BoardModel,
    client: Client,
    marit: Person,
) -> None:
    board = bench.board_join(ticket=job, by=ines, board_model=heron, at=MORNING)
    for kind, part, mode in (
        ("struck", "p.dual", "short_keep"),
        ("added", "p.csb", "short"),
    ):
        bench.suspect_word(
            board=board,
            ticket=job,
            by=ines,
            part_id=part,
            mode_id=mode,
            kind=kind,
            chip="looks_wrong",
            at=MORNING,
        )
    act: dict[str, Any] = {"board": board, "ticket": job, "by": ines}
    bench.suspect_name(**act, part_id="p.dual", mode_id="no_output", at=MORNING)
    bench.intervention_do(**act, kind="replaced", part_id="p.dual", at=MORNING + HOUR)
    bench.finding_confirm(
        **act,
        part_id="p.dual",
        mode_id="short_keep",
        is_proven=True,
        at=MORNING + 2 * HOUR,
    )
    client.force_login(marit)
    html = client.get(reverse("diagnostics:advice")).content.decode()
    assert "1 of 1" in html
    assert "too few yet" in html
    assert "<b>right</b>" in html
    assert "Ines Okafor struck" in html
    assert "Ines Okafor added" in html
    assert html.count("<b>wrong</b>") == 4
    assert Advice.objects.count() == 2


def test_before_any_advice_the_page_says_when_it_is_kept(
    client: Client, marit: Person
) -> None:
    client.force_login(marit)
    html = client.get(reverse("diagnostics:advice")).content.decode()
    assert "None kept yet" in html
