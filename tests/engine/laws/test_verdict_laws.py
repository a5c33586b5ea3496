"""What must hold of every verdict, whatever the reading."""

from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.stats import norm  # type: ignore[import-untyped]

from diagnostics.engine.limits import FAILS, PASSES
from diagnostics.engine.meters import HANDHELD, MeterSpec, standard_uncertainty
from diagnostics.engine.quantities import Outcome, parse
from diagnostics.engine.verdicts import (
    Observed,
    Supply,
    Verdict,
    Word,
    Yardstick,
    judge,
    p_inside,
)

pytestmark = pytest.mark.long

VOLTS = st.floats(-25, 25)
ERRORS = st.floats(1e-4, 10)
WIDTHS = st.floats(0.01, 5)
SUPPLY_VOLTS = st.none() | st.sampled_from([0.0, 2.0, 18.9, 19.0])
FITTED = ["adapter", "pack", "modules", "cpu", "coin_cell"]


def limits(low: float, width: float) -> Yardstick:
    return Yardstick("V", limit_low=low, limit_high=low + width)


@st.composite
def yardsticks(draw: st.DrawFn) -> Yardstick:
    """Any yardstick that a family or a model's readings may give."""
    some = st.none() | st.floats(0, 100)
    low, high, usual_low, usual_high = (draw(some) for _side in range(4))
    assume(low is None or high is None or low <= high)
    return Yardstick(
        draw(st.sampled_from(["V", "ohm"])),
        limit_low=low,
        limit_high=high,
        usual_low=usual_low,
        usual_high=usual_high,
        usual_count=draw(st.integers(0, 5)),
        watch_low=draw(some),
        needs_four_wire=draw(st.booleans()),
        ok_from=draw(some),
        limit_is_hard=draw(st.booleans()),
        ol_is_usual=draw(st.booleans()),
        without=draw(st.sampled_from([(), ("modules",)])),
    )


@st.composite
def readings(draw: st.DrawFn) -> Observed:
    outcome = draw(st.sampled_from(Outcome))
    return Observed(
        outcome,
        draw(st.floats(0, 100)) if outcome is Outcome.VALUE else None,
        draw(st.floats(0, 5)),
        draw(st.sampled_from(["V", "R", "D", "C", "I"])),
        draw(st.sampled_from(["", "red_on_point", "red_on_ground"])),
        four_wire=draw(st.booleans()),
        lead_ohms=draw(st.none() | st.floats(0, 0.5)),
        category="burnt",
        lead_spread=draw(st.sampled_from([0.0, 0.1])),
        fitted=draw(st.frozensets(st.sampled_from(FITTED), max_size=2)),
        supply=Supply(draw(SUPPLY_VOLTS), draw(SUPPLY_VOLTS)),
    )


def volts(value: float, u: float, yardstick: Yardstick) -> Verdict:
    return judge(Observed(Outcome.VALUE, value, u, "V"), yardstick)


@given(readings(), yardsticks())
def test_every_verdict_has_a_reason_and_unclear_says_what_would_settle_it(
    observed: Observed, yardstick: Yardstick
) -> None:
    verdict = judge(observed, yardstick, category_words={"burnt": "bad"})
    assert verdict.reasons
    assert bool(verdict.settle) is (verdict.word is Word.UNCLEAR)


@given(readings(), yardsticks())
def test_bad_needs_a_limit(observed: Observed, yardstick: Yardstick) -> None:
    without = replace(yardstick, limit_low=None, limit_high=None)
    assume(observed.outcome is not Outcome.CATEGORY)
    assert judge(observed, without).word is not Word.BAD


@given(readings(), yardsticks())
def test_no_good_and_no_watch_where_the_limit_did_not_pass(
    observed: Observed, yardstick: Yardstick
) -> None:
    verdict = judge(observed, yardstick)
    if verdict.word in {Word.GOOD, Word.WATCH}:
        assert verdict.p_inside is None or verdict.p_inside >= PASSES
    if verdict.word is Word.BAD:
        assert verdict.p_inside is not None
        assert verdict.p_inside <= FAILS


@given(VOLTS, VOLTS, WIDTHS, ERRORS, ERRORS)
def test_a_tighter_meter_never_blurs_a_verdict(
    value: float, low: float, width: float, one: float, other: float
) -> None:
    """Good stays good and bad stays bad when the same value is known better."""
    yardstick = limits(low, width)
    coarse = volts(value, max(one, other), yardstick)
    fine = volts(value, min(one, other), yardstick)
    if coarse.word is not Word.UNCLEAR:
        assert fine.word is coarse.word


@given(readings(), yardsticks(), ERRORS)
def test_nor_does_it_by_any_yardstick_however_the_reading_was_taken(
    observed: Observed, yardstick: Yardstick, error: float
) -> None:
    one, other = sorted((observed.u, error))
    fine = judge(replace(observed, u=one), yardstick)
    coarse = judge(replace(observed, u=other), yardstick)
    if coarse.word is not Word.UNCLEAR:
        assert fine.word is coarse.word


@given(readings(), yardsticks())
def test_how_a_reading_was_taken_only_ever_holds_a_verdict_back(
    observed: Observed, yardstick: Yardstick
) -> None:
    """With nothing in the board and nothing known of the supply: the same or more."""
    amps = observed.mode == "I"
    supply = Supply(19.0, 19.0) if amps else Supply()
    plain = judge(replace(observed, fitted=frozenset(), supply=supply), yardstick)
    found = judge(observed, yardstick)
    assert found.word in {plain.word, Word.UNCLEAR}


@given(VOLTS, VOLTS, WIDTHS, ERRORS)
def test_a_verdict_by_the_limit_is_the_table(
    value: float, low: float, width: float, u: float
) -> None:
    """With a meter finer than a third of the limits, p alone decides."""
    assume(u < width / 3)
    verdict = volts(value, u, limits(low, width))
    assert verdict.p_inside is not None
    if verdict.p_inside >= PASSES:
        assert verdict.word is Word.GOOD
    elif verdict.p_inside <= FAILS - 0.002:
        assert verdict.word is Word.BAD
    elif verdict.p_inside > FAILS:
        assert verdict.word is Word.UNCLEAR


@given(VOLTS, VOLTS, WIDTHS, ERRORS)
def test_probability_agrees_with_an_outside_library(
    value: float, low: float, width: float, u: float
) -> None:
    high = low + width
    both = norm.cdf((high - value) / u) - norm.cdf((low - value) / u)
    assert p_inside(value, u, low, high) == pytest.approx(both, abs=1e-12)
    lower = norm.sf((low - value) / u)
    assert p_inside(value, u, low, None) == pytest.approx(lower, abs=1e-12)


@given(VOLTS, st.floats(0, 10), VOLTS, WIDTHS)
def test_inside_and_outside_add_up(
    value: float, u: float, low: float, width: float
) -> None:
    high = low + width
    assume(u > 0 or value not in {low, high})
    outside = p_inside(value, u, None, low) + p_inside(value, u, high, None)
    assert p_inside(value, u, low, high) + outside == pytest.approx(1.0)


@given(VOLTS, ERRORS, VOLTS, WIDTHS, st.sampled_from([1e-3, 1e3]))
def test_the_unit_of_the_volts_does_not_matter(
    value: float, u: float, low: float, width: float, scale: float
) -> None:
    plain = p_inside(value, u, low, low + width)
    scaled = p_inside(value * scale, u * scale, low * scale, (low + width) * scale)
    assert scaled == pytest.approx(plain, abs=1e-9)


@given(st.integers(0, 5999))
def test_millivolts_and_volts_get_the_same_verdict(millivolts: int) -> None:
    found = []
    for text in (f"{millivolts} mV", f"{millivolts / 1000:.3f} V"):
        typed = parse(text, "V")
        assert typed.value is not None
        u = standard_uncertainty(HANDHELD, "V", typed.value, typed.digit).u
        found.append(volts(typed.value, u, limits(3.135, 0.33)))
    assert found[0].word is found[1].word
    assert found[0].p_inside == pytest.approx(found[1].p_inside)


@given(st.floats(-599, 599), st.floats(-599, 599))
def test_a_larger_reading_is_never_known_better(one: float, other: float) -> None:
    small, large = sorted((one, other), key=abs)
    fine = standard_uncertainty(HANDHELD, "V", small)
    assert fine.u <= standard_uncertainty(HANDHELD, "V", large).u


@given(st.floats(-599, 599), st.sampled_from([None, 1e-4, 1e-2, 1.0]))
def test_a_coarser_digit_never_sharpens(value: float, digit: float | None) -> None:
    plain = standard_uncertainty(HANDHELD, "V", value)
    assert standard_uncertainty(HANDHELD, "V", value, digit).u >= plain.u


def test_the_order_of_ranges_and_answers_does_not_matter() -> None:
    volts_only = [one for one in HANDHELD.ranges if one.mode == "V"]
    for order in permutations(volts_only):
        spec = MeterSpec("turned", order)
        assert standard_uncertainty(spec, "V", 3.3) == standard_uncertainty(
            HANDHELD, "V", 3.3
        )
    seen = Observed(Outcome.CATEGORY, category="burnt")
    answers = [("clean", "good"), ("burnt", "bad")]
    verdicts = [
        judge(seen, None, category_words=dict(o)) for o in permutations(answers)
    ]
    assert verdicts[0] == verdicts[1]
