"""The walk and free order: what was passed by is a fact, and opens no gate."""

from urllib.parse import urlencode
from uuid import uuid4

import pytest
from django.db import DatabaseError, IntegrityError, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics import queries, situations
from diagnostics import services as bench
from diagnostics.models import Board, PassedBy
from diagnostics.refusals import OtherContents
from diagnostics.walk import Progress, Walk, walk_of
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.models import Note
from tests.diagnostics.conftest import Read, power_may_be_applied


def page_of(job: Ticket, board: Board, **state: object) -> str:
    page = reverse("diagnostics:board", args=[job.number, board.pk])
    return f"{page}?{urlencode(state)}" if state else page


def walk(board: Board) -> Walk:
    return walk_of(queries.known_of(board))


def stage(board: Board, stage_id: str) -> Progress:
    return next(one for one in walk(board).progress() if one.stage.id == stage_id)


def next_check(board: Board, stage_id: str, after: str = "") -> str | None:
    step = walk(board).next_step(stage_id, after)
    return step.check.id if step else None


class Pass:
    """Pass a check of the board by, as its technician."""

    def __init__(self, board: Board, job: Ticket, ines: Person) -> None:
        self.to = {"board": board, "ticket": job, "by": ines}

    def __call__(
        self, check_id: str, why: str = "not_needed", **more: object
    ) -> PassedBy:
        return bench.check_pass_by(check_id=check_id, why=why, **self.to | more)  # type: ignore[arg-type]


@pytest.fixture
def pass_by(board: Board, job: Ticket, ines: Person) -> Pass:
    return Pass(board, job, ines)


# --- passed by ---


def test_a_check_passed_by_is_kept_with_who_when_and_why(
    pass_by: Pass, board: Board, ines: Person
) -> None:
    before = stage(board, "power_in")
    row = pass_by("k02", "in_words", words="under the heat sink")
    assert (row.by, row.why) == (ines, "in_words")
    assert row.note is not None
    assert row.note.text == "under the heat sink"
    after = stage(board, "power_in")
    points = len(walk(board).of_check("k02"))
    assert (after.read, after.passed_by) == (before.read, points)
    assert after.all == before.all
    assert after.open == before.open - points


def test_the_walk_goes_on_past_it(pass_by: Pass, board: Board) -> None:
    first = next_check(board, "power_in")
    assert first == "k01"
    pass_by("k01")
    following = next_check(board, "power_in", "k01")
    assert following not in {None, "k01"}
    assert following == next_check(board, "power_in")


def test_passing_by_opens_no_gate(pass_by: Pass, board: Board) -> None:
    known = queries.known_of(board)
    before = {one: queries.holds_for(board, one) for one in known.board.checks}
    for gate in ("k03", "k06", "k18", "k19", "k20"):
        pass_by(gate, "later")
    after = {one: queries.holds_for(board, one) for one in known.board.checks}
    assert {k: [h.gate_id for h in v] for k, v in after.items()} == {
        k: [h.gate_id for h in v] for k, v in before.items()
    }
    assert after["k24"]


def test_the_walk_ends_without_the_gate_that_was_passed_by(
    pass_by: Pass, board: Board
) -> None:
    for check in walk(board).known.board.checks:
        pass_by(check)
    assert next_check(board, "power_in") is None


def test_taking_the_check_undoes_it(pass_by: Pass, read: Read, board: Board) -> None:
    pass_by("k04", "cant_get_at")
    assert walk(board).is_passed_by("k04")
    read("k04/leads", "0.2", source="told")
    assert walk(board).is_passed_by("k04")
    read("k04/leads", "0.2", taken_at=timezone.now())
    assert not walk(board).is_passed_by("k04")


def test_after_all_undoes_it_and_both_stay_in_the_record(
    pass_by: Pass, board: Board
) -> None:
    pass_by("k02")
    pass_by("k02", "after_all")
    assert not walk(board).is_passed_by("k02")
    assert [row.why for row in board.passed_by.all()] == ["not_needed", "after_all"]


def test_later_comes_back_at_the_end_of_its_stage(pass_by: Pass, board: Board) -> None:
    pass_by("k01", "later")
    checks = [step.check.id for step in walk(board).open_in("power_in", "k01")]
    assert "k01" not in checks
    seen = []
    while (check := next_check(board, "power_in")) not in {None, "k01"}:
        assert check is not None
        assert walk(board).known.board.check(check).stage == "power_in"
        seen.append(check)
        pass_by(check)
    assert check == "k01"
    assert seen


def test_put_off_again_it_comes_last_of_all(pass_by: Pass, board: Board) -> None:
    pass_by("k01", "later")
    for check in walk(board).known.board.checks:
        if check != "k01":
            pass_by(check)
    pass_by("k01", "later")
    assert next_check(board, "power_in", "k01") == "k01"


def test_what_is_passed_by_is_never_the_next_best(pass_by: Pass, board: Board) -> None:
    points = {step.point.id for step in walk(board).of_check("k11")}
    assert not points & situations.situation_of(queries.known_of(board)).passed_by
    pass_by("k11")
    assert points <= situations.situation_of(queries.known_of(board)).passed_by


def test_it_ends_when_the_board_goes_home(
    pass_by: Pass, board: Board, job: Ticket, ines: Person
) -> None:
    pass_by("k02")
    bench.intervention_do(board=board, ticket=job, by=ines, kind="cleaned")
    assert walk(board).is_passed_by("k02")
    board.interventions.create(epoch=2, kind="away", by=ines)
    assert not walk(board).is_passed_by("k02")


@pytest.mark.parametrize(
    ("why", "field"), [("in_words", "words"), ("whatever", "why"), ("", "why")]
)
def test_a_reason_is_needed(pass_by: Pass, why: str, field: str) -> None:
    with pytest.raises(Refused) as refused:
        pass_by("k02", why, words="  ")
    assert refused.value.field == field
    assert not PassedBy.objects.exists()
    assert not Note.objects.filter(kind="passed_by").exists()


def test_the_same_word_sent_twice_is_one(pass_by: Pass, board: Board) -> None:
    uuid = uuid4()
    assert pass_by("k02", uuid=uuid) == pass_by("k02", uuid=uuid)
    with pytest.raises(OtherContents):
        pass_by("k02", "later", uuid=uuid)
    assert board.passed_by.count() == 1


def test_what_was_passed_by_is_never_edited(pass_by: Pass) -> None:
    pass_by("k02")
    with pytest.raises(DatabaseError), transaction.atomic():
        PassedBy.objects.update(why="later")
    with pytest.raises(IntegrityError), transaction.atomic():
        pass_by("k02").__class__.objects.create(
            board=PassedBy.objects.first().board,  # type: ignore[union-attr]
            epoch=0,
            check_id="k02",
            why="in_words",
            by=PassedBy.objects.first().by,  # type: ignore[union-attr]
            at=timezone.now(),
        )


# --- on the page ---


def test_a_chip_passes_it_by_and_lights_the_next(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    html = at_bench.get(page_of(job, board, check="k01")).content.decode()
    for chip in ("can’t get at it", "later", "not needed", "another reason"):
        assert chip in html
    url = reverse("diagnostics:check_pass_by", args=[job.number, board.pk])
    fields = {"idempotency_key": str(uuid4()), "check_id": "k01", "check": "k01"}
    response = at_bench.post(url, {**fields, "why": "later"}, follow=True)
    html = response.content.decode()
    assert "Passed by: " in html
    assert "After all" in html
    points = len(walk(board).of_check("k01"))
    assert f"{points} passed by" in html
    assert "check=k01" not in response.redirect_chain[-1][0]


def test_a_refused_word_keeps_what_was_typed(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    url = reverse("diagnostics:check_pass_by", args=[job.number, board.pk])
    fields = {"idempotency_key": str(uuid4()), "check_id": "k01", "check": "k01"}
    response = at_bench.post(url, {**fields, "why": "in_words", "words": " "})
    assert response.status_code == 422
    assert "Another reason needs its words." in response.content.decode()


def test_who_chose_the_walk_stays_in_it(
    at_bench: Client, job: Ticket, board: Board, read: Read, suspecting: None
) -> None:
    now = timezone.now()
    power_may_be_applied(read, taken_at=now)
    newest = read("k24/supply", "3 mA", taken_at=now)
    verdict = page_of(job, board, reading=newest.pk)
    html = at_bench.get(verdict).content.decode()
    assert "or go on with the walk" in html
    at_bench.get(page_of(job, board, check="k26", way="walk"))
    html = at_bench.get(verdict).content.decode()
    assert "Next in the walk" in html
    assert "or the next best check" in html
    at_bench.get(page_of(job, board, check="k26", way="best"))
    assert "or go on with the walk" in at_bench.get(verdict).content.decode()


def test_the_present_condition_comes_first_in_a_stage(
    board: Board, job: Ticket, ines: Person, read: Read
) -> None:
    power_may_be_applied(read, taken_at=timezone.now())
    cold = [step.check.condition for step in walk(board).open_in("standby")]
    assert cold == sorted(cold, key=lambda one: one not in {"", "U"})
    bench.condition_set(board=board, ticket=job, by=ines, check_id="k24")
    live = [step.check.condition for step in walk(board).open_in("standby")]
    assert live[0] == "A"
    assert live == sorted(live, key=lambda one: one not in {"", "A"})


def test_not_fitted_is_undone_by_after_all(
    at_bench: Client, board: Board, job: Ticket, read: Read, ines: Person
) -> None:
    read("k11/sb.18", outcome="not_fitted", taken_at=timezone.now())
    html = at_bench.get(page_of(job, board, stage="standby")).content.decode()
    assert "Not on this board: " in html
    assert ines.name in html
    assert walk(board).at("k11/sb.18") is None
    bench.point_not_fitted(
        board=board, ticket=job, by=ines, point_id="k11/sb.18", is_fitted=True
    )
    assert walk(board).at("k11/sb.18") is not None
