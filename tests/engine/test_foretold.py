"""The words foretold are those that judging says later, for every value in a stretch.

Outside: the ends of a limit's stretches are worked out again by scipy's normal
distribution, from JCGM 106:2012, 7.2 to 7.4.
"""

from math import sqrt

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from scipy.stats import norm  # type: ignore[import-untyped]

from diagnostics.engine.errors import MeterError
from diagnostics.engine.foretold import Foretold, Stretch, _parting, foretold
from diagnostics.engine.meters import (
    HANDHELD,
    MeterRange,
    MeterSpec,
    standard_uncertainty,
)
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.verdicts import Observed, Yardstick, judge
from diagnostics.engine.yardsticks import Supply

OVER = Outcome.OVER_LIMIT
VOLTS = Observed(OVER, mode="V")
OHMS = Observed(OVER, mode="R", lead_ohms=0.2)
RAIL = Yardstick("V", limit_low=3.135, limit_high=3.465, usual_low=3.2, usual_high=3.4)
MAIN = Yardstick(
    "ohm",
    limit_low=20.0,
    usual_low=33e3,
    usual_high=51e3,
    usual_count=14,
    watch_low=100.0,
    ok_from=1e3,
)
MAIN_UNKNOWN = Yardstick("ohm", limit_low=20.0, watch_low=100.0, ok_from=1e3)
COARSE = MeterSpec("coarse", (MeterRange("V", 1000.0, 5.0, 5, 1.0),))


def word_of(
    seen: Observed, yardstick: Yardstick, meter: MeterSpec, value: float, digit: float
) -> str:
    """What is judged once the value is read."""
    try:
        u = standard_uncertainty(
            meter, seen.mode, value, digit, is_four_wire=seen.four_wire
        ).u
    except MeterError:
        return ""
    taken = Observed(
        Outcome.VALUE,
        value,
        u,
        seen.mode,
        seen.polarity,
        seen.four_wire,
        seen.lead_ohms,
        fitted=seen.fitted,
        supply=seen.supply,
    )
    return judge(taken, yardstick).word.value


def figures(least: float, most: float) -> st.SearchStrategy[float | None]:
    return st.none() | st.floats(least, most).map(lambda one: float(f"{one:.3g}"))


@st.composite
def yardsticks(draw: st.DrawFn, unit: str, least: float, most: float) -> Yardstick:
    low, high = draw(figures(least, most)), draw(figures(least, most))
    usual = draw(figures(least, most)), draw(figures(least, most))
    if low is not None and high is not None:
        low, high = min(low, high), max(low, high)
    if usual[0] is not None and usual[1] is not None:
        usual = min(usual[0], usual[1]), max(usual[0], usual[1])
    is_ohms = unit == "ohm"
    return Yardstick(
        unit,
        limit_low=low,
        limit_high=high,
        usual_low=usual[0],
        usual_high=usual[1],
        usual_count=draw(st.sampled_from((0, 5))),
        watch_low=draw(figures(least, most)) if is_ohms else None,
        ok_from=draw(figures(least, most)) if is_ohms else None,
        needs_four_wire=is_ohms and draw(st.booleans()),
        may_be_absent=not is_ohms and draw(st.booleans()),
    )


CASES = st.one_of(
    st.tuples(
        st.just(VOLTS),
        yardsticks("V", -20.0, 30.0),
        st.sampled_from((HANDHELD, COARSE)),
    ),
    st.tuples(
        st.builds(
            Observed,
            st.just(OVER),
            mode=st.just("R"),
            four_wire=st.booleans(),
            lead_ohms=st.sampled_from((None, 0.2)),
            fitted=st.sampled_from((frozenset[str](), frozenset({"pack"}))),
        ),
        yardsticks("ohm", 0.01, 1e6),
        st.just(HANDHELD),
    ),
    st.tuples(
        st.builds(
            Observed,
            st.just(OVER),
            mode=st.just("I"),
            supply=st.sampled_from((Supply(), Supply(19.0, 19.0), Supply(19.0, 4.0))),
        ),
        yardsticks("A", 0.001, 5.0),
        st.just(HANDHELD),
    ),
)


@settings(max_examples=150, deadline=None)
@given(CASES, st.integers(-5, 4), st.data())
@example((VOLTS, RAIL, HANDHELD), -2, None)
def test_a_word_foretold_is_the_word_judged(
    case: tuple[Observed, Yardstick, MeterSpec],
    power: int,
    data: st.DataObject | None,
) -> None:
    """At the ends of each stretch, and at values of that digit anywhere in it."""
    seen, yardstick, meter = case
    found, digit = foretold(seen, yardstick, meter), 10.0**power
    ends = [
        end
        for _digit, stretches in found.by_digit
        for one in stretches
        for end in (one.low, one.high, (one.low + one.high) / 2)
    ]
    assume(ends)
    drawn = [data.draw(st.floats(min(ends), max(ends)))] if data else []
    for value in (*ends, *drawn):
        word = found.word(value, digit)
        assert word in {"", word_of(seen, yardstick, meter, value, digit)}


@pytest.mark.parametrize(
    ("seen", "yardstick", "typed"),
    [
        (VOLTS, RAIL, {3.31: "good", 0.41: "bad", 3.42: "watch", 3.12: "unclear"}),
        (OHMS, MAIN, {5.1: "bad", 47e3: "good", 300.0: "unclear", 62e3: "watch"}),
        (OHMS, MAIN_UNKNOWN, {5.1: "bad", 62e3: "good"}),
    ],
)
def test_what_is_typed_at_a_bench_has_its_word(
    seen: Observed, yardstick: Yardstick, typed: dict[float, str]
) -> None:
    found = foretold(seen, yardstick, HANDHELD)
    digits = {3.31: 0.01, 0.41: 0.01, 3.42: 0.01, 3.12: 0.01}
    digits |= {5.1: 0.1, 47e3: 1e3, 300.0: 1.0, 62e3: 1e3}
    assert {one: found.word(one, digits[one]) for one in typed} == typed


def test_the_ends_of_a_limit_are_those_of_the_normal_distribution() -> None:
    """Bad up to where 95 % lie under the limit, passed from where 95 % lie over it."""
    limit = Yardstick("V", limit_low=3.135)
    found = dict(foretold(VOLTS, limit, HANDHELD).by_digit)[0.01]
    ends = {one.word: one for one in found}
    z = float(norm.ppf(0.95))

    def u(value: float) -> float:
        return (value * 0.005 + 2 * 0.01) / sqrt(3)

    bad, good = ends["bad"].high, ends["good"].low
    assert bad + z * u(bad) == pytest.approx(3.135, rel=1e-3)
    assert good - z * u(good) == pytest.approx(3.135, rel=1e-3)


def test_a_finer_digit_may_yet_settle_what_is_unclear() -> None:
    found = Foretold(
        ((0.01, (Stretch(0, 1, "bad"), Stretch(1.1, 2, "unclear"))),), "good"
    )
    assert found.word(0.4, 0.001) == "bad"
    assert found.word(1.5, 0.01) == "unclear"
    assert found.word(1.5, 0.001) == ""
    assert found.word(0.4, 0.1) == ""


def test_words_that_hang_on_more_are_left_out() -> None:
    found = foretold(VOLTS, RAIL, HANDHELD).without("good", "unclear")
    words = {one.word for _digit, stretches in found.by_digit for one in stretches}
    assert words == {"bad", "watch"}
    assert found.over_limit == ""
    assert foretold(VOLTS, RAIL, HANDHELD).without("good").over_limit == "unclear"


def test_nothing_is_foretold_where_nothing_decides() -> None:
    assert foretold(VOLTS, Yardstick("V"), HANDHELD).by_digit == ()
    nought = foretold(Observed(OVER, mode="F"), Yardstick("Hz", limit_high=5.0), COARSE)
    assert {one for _digit, stretches in nought.by_digit for one in stretches} == set()


def test_a_third_word_between_two_is_left_open() -> None:
    def word(value: float) -> str:
        return "bad" if value < 1 else "unclear" if value < 9 else "good"

    assert _parting(word, 0.0, 10.0, "bad", "good") == (0.0, 10.0)
