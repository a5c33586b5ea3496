"""What technicians say of suspects, what they see, and what becomes of an offer."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import DatabaseError, IntegrityError, models, transaction

from diagnostics import advising, queries
from diagnostics import services as bench
from diagnostics.models import Advice, Board, Reading, Sighting, SuspectWord
from diagnostics.refusals import OtherContents
from shop.intake.models import Handover, Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event, Note
from tests.diagnostics.conftest import MORNING, Read

NOON = MORNING + timedelta(hours=3)
DUAL = ("p.dual", "no_output")


def say(board: Board, job: Ticket, by: Person, kind: str, **more: str) -> SuspectWord:
    fields = {"part_id": "p.dual", "mode_id": "no_output", "chip": "measured_good"}
    return bench.suspect_word(
        board=board, ticket=job, by=by, kind=kind, at=NOON, **fields | more
    )


def see(board: Board, job: Ticket, by: Person, **more: object) -> Sighting:
    fields: dict[str, object] = {"kind": "burnt", "part_id": "p.cmain", "place": "C-a"}
    return bench.sighting_keep(
        board=board,
        ticket=job,
        by=by,
        at=NOON,
        **fields | more,  # type: ignore[arg-type]
    )


# --- suspects struck and added ---


def test_a_struck_suspect_is_out_of_question_until_it_is_added_again(
    suspecting: None, board: Board, job: Ticket, ines: Person, sami: Person
) -> None:
    say(board, job, ines, "struck")
    known = queries.known_of(board)
    assert advising.struck(known) == {DUAL}
    said = advising.assessment_of(known)
    assert said is not None
    assert DUAL not in {one.key for one in said.suspects}
    shares = sum(one.probability for one in said.suspects)
    assert shares + said.no_fault + said.something_else == pytest.approx(1)
    say(board, job, sami, "added", chip="looks_wrong")
    known = queries.known_of(board)
    assert not advising.struck(known)
    assert advising.added(known) == {DUAL}
    say(board, job, sami, "taken_back", chip="")
    assert not advising.added(queries.known_of(board))
    assert SuspectWord.objects.count() == 3


def test_the_words_lie_in_a_note_and_in_no_event(
    board: Board, job: Ticket, ines: Person
) -> None:
    word = say(board, job, ines, "struck", words="Mrs Pell said so")
    assert word.note is not None
    assert Note.objects.get(kind="suspect").text == "Mrs Pell said so"
    told = Event.objects.get(kind=Kind.SUSPECT_STRUCK)
    assert told.codes == {"part": DUAL[0], "mode": DUAL[1], "chip": "measured_good"}
    assert "Pell" not in str(list(Event.objects.values()))


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"part_id": "p.nothing"}, "part_id"),
        ({"mode_id": "melted"}, "mode_id"),
        ({"chip": "mood"}, "chip"),
        ({"chip": "other", "words": "  "}, "words"),
    ],
)
def test_a_word_names_a_known_suspect_and_its_reason(
    board: Board, job: Ticket, ines: Person, wrong: dict[str, str], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        say(board, job, ines, "struck", **wrong)
    assert refused.value.field == field
    with pytest.raises(Refused):
        say(board, job, ines, "blessed")
    assert not SuspectWord.objects.exists()


def test_a_word_ends_with_its_ticket(board: Board, job: Ticket, ines: Person) -> None:
    say(board, job, ines, "struck")
    bench.suspect_word(
        board=board,
        ticket=None,
        by=ines,
        part_id="p.cmain",
        mode_id="short",
        kind="added",
        chip="looks_wrong",
    )
    Handover.objects.create(ticket=job, given_to="Ada Pell")
    known = queries.known_of(board)
    assert not advising.struck(known)
    assert advising.added(known) == {("p.cmain", "short")}
    with pytest.raises(Refused, match="closed"):
        say(board, job, ines, "struck")


def test_advice_keeps_what_technicians_had_said(
    board: Board, job: Ticket, ines: Person
) -> None:
    say(board, job, ines, "struck")
    advice = bench.suspect_name(
        board=board, ticket=job, by=ines, part_id="p.cmain", mode_id="short"
    )
    assert advice.words == [
        {"part": DUAL[0], "mode": DUAL[1], "kind": "struck", "by": ines.pk}
    ]


# --- sightings ---


def test_a_sighting_is_kept_once_and_struck_by_an_event(
    board: Board, job: Ticket, ines: Person
) -> None:
    uuid = uuid4()
    seen = see(board, job, ines, uuid=uuid)
    assert see(board, job, ines, uuid=uuid) == seen
    with pytest.raises(OtherContents):
        see(board, job, ines, uuid=uuid, kind="cracked")
    assert queries.known_of(board).sightings == (seen,)
    bench.sighting_strike(sighting=seen, by=ines, why="other board")
    bench.sighting_strike(sighting=seen, by=ines)
    assert queries.known_of(board).sightings == ()
    assert Sighting.objects.get() == seen
    struck = Event.objects.get(kind=Kind.SIGHTING_STRUCK)
    assert struck.note is not None


def test_a_sighting_may_be_at_a_rail(board: Board, job: Ticket, ines: Person) -> None:
    seen = see(board, job, ines, part_id="", rail_id="sb.33", kind="hot")
    assert (seen.rail_id, seen.epoch) == ("sb.33", 0)


@pytest.mark.parametrize(
    "wrong",
    [
        {"kind": "lovely"},
        {"part_id": ""},
        {"rail_id": "main"},
        {"part_id": "p.nothing"},
        {"part_id": "", "rail_id": "nowhere"},
    ],
)
def test_a_sighting_says_what_and_where(
    board: Board, job: Ticket, ines: Person, wrong: dict[str, str]
) -> None:
    with pytest.raises(Refused):
        see(board, job, ines, **wrong)
    assert not Sighting.objects.exists()


def test_the_database_itself_keeps_both(
    board: Board, job: Ticket, ines: Person
) -> None:
    rows: tuple[models.Model, ...] = (
        see(board, job, ines),
        say(board, job, ines, "struck"),
    )
    for row in rows:
        with pytest.raises(DatabaseError), transaction.atomic():
            row.delete()
    with pytest.raises(DatabaseError), transaction.atomic():
        SuspectWord.objects.update(kind="added")
    with pytest.raises(DatabaseError), transaction.atomic():
        Sighting.objects.update(kind="hot")
    with pytest.raises(IntegrityError), transaction.atomic():
        Sighting.objects.create(board=board, epoch=0, kind="hot", by=ines)


# --- offers ---


def moments(board: Board) -> list[tuple[str, str, bool | None]]:
    kept = Advice.objects.filter(board=board).order_by("id")
    return [(one.moment, one.next_check, one.was_followed) for one in kept]


def test_an_offer_passed_over_is_kept_once(read: Read, board: Board) -> None:
    read("k03/main", "0.01", offered="k01/top")
    read("k03/mem.q", "0.01", offered="k01/top")
    assert moments(board) == [("offer_overruled", "k01/top", False)]
    assert Advice.objects.get().reading_ids == []
    read("k03/cpu.core", "0.01", offered="k02/pack")
    read("k04/leads", "0.2", offered="k01/top")
    assert [next_check for _moment, next_check, _was in moments(board)] == [
        "k01/top",
        "k02/pack",
        "k01/top",
    ]


def test_an_offer_taken_is_kept_as_followed(
    suspecting: None, read: Read, board: Board
) -> None:
    read("k03/main", "0.01", offered="k01/top")
    read("k01/bottom", category="clean", offered="k01/top")
    assert moments(board) == [
        ("offer_overruled", "k01/top", False),
        ("offer_followed", "k01/top", True),
    ]
    advice = Advice.objects.latest("id")
    assert advice.suspects
    assert advice.reading_ids == [Reading.objects.earliest("id").pk]


def test_without_an_offer_or_when_told_nothing_is_kept(
    read: Read, board: Board
) -> None:
    read("k03/main", "0.01")
    read("k03/main", "0.01", offered="k99/gone")
    read("k03/main", "0.01", offered="k01/top", source="told")
    assert moments(board) == []


def test_a_reading_sent_twice_answers_its_offer_once(read: Read, board: Board) -> None:
    uuid = uuid4()
    for _again in range(2):
        read("k03/main", "0.01", offered="k03/main", uuid=uuid)
    assert len(moments(board)) == 1
