"""Board lore as a yardstick: like with like, three boards, never out of ignorance."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.engine.bands import Good
from diagnostics.engine.boards import Board, board_of, load_family
from diagnostics.engine.lore import (
    NO_LORE,
    Like,
    Lore,
    can_touch,
    may_count,
)
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.verdicts import judge
from diagnostics.engine.yardsticks import Observed, Verdict, Word, Yardstick

STANDBY = Like("k11/sb.33")
RAIL = Yardstick(unit="ohm", limit_low=10.0, watch_low=100.0, usual_low=300.0)


def lore_of(*ohms: float, like: Like = STANDBY) -> Lore:
    return Lore({like: tuple(Good(n, value) for n, value in enumerate(ohms, 1))})


def ohms(value: float, u: float = 1.0) -> Observed:
    return Observed(Outcome.VALUE, value, u, mode="R", lead_ohms=0.2)


@pytest.fixture(scope="module")
def heron() -> Board:
    return board_of(load_family("laptop_barrel"))


# --- what it makes of a yardstick ---


def test_between_the_familys_bands_three_good_boards_decide() -> None:
    """model.md: between watch and ok good only if the model's own band contains it."""
    without = judge(ohms(210), RAIL)
    lore = lore_of(205, 214, 208)
    with_lore = judge(ohms(210), lore.over(RAIL, STANDBY, "ohm"))
    assert (without.word, with_lore.word) == (Word.UNCLEAR, Word.GOOD)
    assert any(r.code == "model_reads" for r in with_lore.reasons)


def test_far_from_its_good_boards_a_reading_the_family_likes_is_watched() -> None:
    lore = lore_of(1200, 1250, 1230)
    found = judge(ohms(320), lore.over(RAIL, STANDBY, "ohm"))
    assert (judge(ohms(320), RAIL).word, found.word) == (Word.GOOD, Word.WATCH)


@pytest.mark.parametrize("count", [1, 2])
def test_one_or_two_boards_turn_no_verdict(count: int) -> None:
    lore = lore_of(*[205.0] * count)
    assert lore.over(RAIL, STANDBY, "ohm") == RAIL
    band = lore.band(RAIL, STANDBY, "ohm")
    assert band is not None
    assert band.predictive.holds(205.0)


def test_a_short_stays_a_short_however_many_good_boards_there_are() -> None:
    lore = lore_of(*[205.0] * 9)
    assert judge(ohms(4.0), lore.over(RAIL, STANDBY, "ohm")).word is Word.BAD


@pytest.mark.parametrize(
    "other",
    [
        Like("k11/sb.5"),
        Like("k11/sb.33", condition="J"),
        Like("k11/sb.33", polarity="red_on_ground"),
        Like("k11/sb.33", fitted=frozenset({"modules"})),
    ],
)
def test_only_readings_taken_alike_are_compared(other: Like) -> None:
    assert lore_of(205, 214, 208).over(RAIL, other, "ohm") == RAIL


def test_a_rail_that_may_rest_gets_no_yardstick_from_other_rests() -> None:
    """Three good boards at 0 V prove nothing of a fourth: it is resting, not good."""
    asleep = Like("k44/run.33", condition="A")
    lore = lore_of(0.0, 0.0, 0.001, like=asleep)
    assert lore.over(None, asleep, "V") is None


def test_without_a_familys_figure_three_boards_make_one() -> None:
    cold = Like("k21/sense")
    made = lore_of(0.010, 0.0101, 0.0099, like=cold).over(None, cold, "ohm")
    assert made is not None
    assert (made.usual_count, made.has_limit) == (3, False)


def test_volts_are_not_rounded_outward() -> None:
    """Two figures of 3.3 V would be wider than the rail's own limits."""
    like = Like("k32/sb.33", condition="A")
    limits = Yardstick(unit="V", limit_low=3.135, limit_high=3.465)
    lore = lore_of(3.30, 3.31, 3.32, like=like)
    found, band = lore.over(limits, like, "V"), lore.band(limits, like, "V")
    assert found is not None
    assert band is not None
    assert (found.usual_low, found.usual_high) == (
        band.predictive.low,
        band.predictive.high,
    )


def test_no_lore_changes_nothing() -> None:
    assert NO_LORE.over(RAIL, STANDBY, "ohm") is RAIL
    assert NO_LORE.band(None, STANDBY, "ohm") is None


@given(
    st.lists(st.floats(150, 900), min_size=3, max_size=8),
    st.integers(1, 20),
)
def test_more_boards_of_the_same_spread_never_widen_the_usual_range(
    values: list[float], more: int
) -> None:
    """The law of the issue, on what a verdict sees, where the spread is usual."""
    middle = sorted(values)[len(values) // 2]
    near = [middle * (1 + (value - 525) / 10_000) for value in values]
    spans = []
    for times in (1, 1 + more):
        made = lore_of(*near * times).over(RAIL, STANDBY, "ohm")
        assert made is not None
        assert made.usual_low is not None
        assert made.usual_high is not None
        spans.append(made.usual_high / made.usual_low)
    assert all(later <= first * 1.0001 for first, later in pairwise(spans))


# --- which readings count ---


def said(value: float, yardstick: Yardstick | None = RAIL) -> Verdict:
    return judge(ohms(value), yardstick)


@pytest.mark.parametrize(
    ("value", "of_known_good", "of_donor"),
    [
        (500.0, True, True),
        (210.0, True, False),
        (60.0, True, False),
        (3.0, False, False),
    ],
)
def test_what_counts_depends_on_how_good_the_board_is(
    value: float, *, of_known_good: bool, of_donor: bool
) -> None:
    verdict = said(value)
    assert may_count(Outcome.VALUE, verdict, is_known_good=True) is of_known_good
    assert may_count(Outcome.VALUE, verdict, is_known_good=False) is of_donor


def test_what_the_leads_spoilt_never_counts() -> None:
    core = Yardstick("ohm", limit_low=0.1, watch_low=0.4, usual_low=1.0)
    found = judge(Observed(Outcome.VALUE, 0.6, 0.01, mode="R"), core)
    assert found.word is Word.UNCLEAR
    assert not may_count(Outcome.VALUE, found, is_known_good=True)


def test_an_outcome_without_a_value_never_counts() -> None:
    found = judge(Observed(Outcome.OVER_LIMIT, mode="R"), RAIL)
    assert not may_count(Outcome.OVER_LIMIT, found, is_known_good=True)


# --- what a fault can touch ---


def test_a_shorted_capacitor_on_main_touches_main_and_all_it_feeds(
    heron: Board,
) -> None:
    touched = {
        point_id: can_touch(heron, "p.cmain", "short", heron.point(point_id))
        for point_id in (
            "k06/main",
            "k27/main",
            "k32/sb.33",
            "k11/sb.33",
            "k05/in.jack",
        )
    }
    assert touched == {
        "k06/main": True,
        "k27/main": True,
        "k32/sb.33": True,
        "k11/sb.33": False,
        "k05/in.jack": False,
    }


def test_a_bridge_touches_both_its_ends_and_the_ohms_between(heron: Board) -> None:
    assert can_touch(heron, "p.qcpu", "high_short", heron.point("k18/cpu.phase1"))


@pytest.mark.parametrize(
    ("part", "mode"), [("p.nothing", "short"), ("p.cmain", "nothing")]
)
def test_an_unknown_failure_may_touch_anything(
    heron: Board, part: str, mode: str
) -> None:
    assert can_touch(heron, part, mode, heron.point("k05/in.jack"))


def test_what_says_nothing_of_rails_may_have_been_touched(heron: Board) -> None:
    assert can_touch(heron, "p.cmain", "short", heron.point("k01/top"))
