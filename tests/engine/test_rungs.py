"""The rung of a rail: two halves, a word, and a note (look, "Marks")."""

import pytest

from diagnostics.engine import rungs
from diagnostics.engine.boards import board_of, load_family
from diagnostics.engine.rungs import half_of, rung

BOARD = board_of(load_family("laptop_barrel"), not_fitted=frozenset({"graphics"}))


@pytest.mark.parametrize(
    ("cold", "live", "word", "note"),
    [
        (None, None, "unread", ""),
        ("good", None, "unread", "rung_cold_good"),
        ("watch", None, "unread", "rung_cold_watch"),
        ("unclear", None, "unread", "rung_cold_unclear"),
        ("bad", None, "down", "rung_shorted"),
        ("bad", "bad", "down", "rung_shorted"),
        ("bad", "good", "down", "rung_shorted_yet_up"),
        ("good", "good", "up", ""),
        (None, "good", "up", ""),
        ("good", "bad", "down", ""),
        ("good", "watch", "odd", ""),
        ("good", "unclear", "unread", "rung_live_unclear"),
    ],
)
def test_a_rung_takes_the_live_half_unless_cold_is_bad(
    cold: str | None, live: str | None, word: str, note: str
) -> None:
    found = rung(BOARD, "sb.33", cold=cold, live=live, live_volts=3.3)
    assert (found.word, found.note) == (word, note)
    assert (found.cold, found.live) == (cold, live)


def test_a_rail_that_may_be_off_and_is_off_is_resting() -> None:
    found = rung(BOARD, "run.5", live="unclear", live_volts=0.02, in_condition="A")
    assert (found.word, found.note) == ("resting", "rung_resting")
    asleep = rung(BOARD, "run.5", live="unclear", live_volts=0.0, in_condition="S")
    assert asleep.word == "resting"


@pytest.mark.parametrize(
    ("rail", "volts", "condition"),
    [
        ("run.5", 0.02, "B"),
        ("slp.5", 0.02, "S"),
        ("sb.33", 0.02, "A"),
        ("run.5", 4.9, "A"),
        ("run.5", None, "A"),
        ("run.5", 0.02, ""),
        ("run.5", 0.02, "U"),
    ],
)
def test_else_it_is_not_resting(rail: str, volts: float | None, condition: str) -> None:
    found = rung(BOARD, rail, live="unclear", live_volts=volts, in_condition=condition)
    assert found.word == "unread"


def test_a_bad_reading_is_never_called_resting() -> None:
    found = rung(BOARD, "run.5", live="bad", live_volts=0.0, in_condition="A")
    assert found.word == "down"


def test_a_core_without_volts_is_odd_and_says_so() -> None:
    """A commanded rail has no hard limit: watch, and the note says why."""
    found = rung(BOARD, "cpu.core", live="watch", live_volts=0.01, in_condition="B")
    assert (found.word, found.note) == ("odd", "rung_no_volts")


def test_what_is_not_fitted_has_no_rung() -> None:
    assert rung(BOARD, "gfx.core", live="good").word == "not_fitted"


@pytest.mark.parametrize(
    ("point_id", "half"),
    [
        ("k06/main", "cold"),
        ("k11/sb.33", "cold"),
        ("k32/sb.33", "live"),
        ("k23/in.jack", "live"),
        ("k34/rtc", "live"),
        ("k03/main", None),
        ("k04/leads", None),
        ("k07/main", None),
        ("k18/cpu.phase1", None),
        ("k31/dual.en", None),
        ("k02/pack", None),
    ],
)
def test_which_half_a_point_speaks_for(point_id: str, half: str | None) -> None:
    assert half_of(BOARD, point_id) == half


def test_every_rail_that_is_read_has_a_half() -> None:
    read = {point.rail for point in BOARD.points.values() if half_of(BOARD, point.id)}
    assert {"in.jack", "main", "sb.33", "ec.33", "mem.q", "cs.core", "cpu.core"} <= read


@pytest.mark.parametrize(
    ("words", "worst"),
    [
        (["good", "bad"], "bad"),
        (["good", "watch", "unclear"], "watch"),
        (["good", "unclear"], "unclear"),
        (["good"], "good"),
        ([], None),
    ],
)
def test_a_half_with_several_points_takes_the_worst(
    words: list[str], worst: str | None
) -> None:
    assert rungs.worst(words) == worst


def test_a_folded_stage_shows_its_worst_rung() -> None:
    assert rungs.worst_rung(["up", "odd", "down"]) == "down"
    assert rungs.worst_rung(["up", "resting"]) == "up"
    assert rungs.worst_rung([]) is None
