"""The turnaround's estimates held to printed data and to another library.

Freireich et al., Blood 21 (1963) 699-716, remission in weeks. Survival, Greenwood's
error and the intervals: computed with lifelines and by hand (the survival column is
the usual printed one, Kleinbaum & Klein, Survival Analysis, ch. 2; from memory).
``statsmodels`` is the second opinion here.
"""

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.duration.survfunc import SurvfuncRight  # type: ignore[import-untyped]

from shop.office.turnaround.control import limits
from shop.office.turnaround.flow import Flow
from shop.office.turnaround.survival import Survival, survival

pytestmark = pytest.mark.one_database

SIX_MP = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+"
PLACEBO = "1 1 2 2 3 4 4 5 5 8 8 8 8 11 11 12 12 15 17 22 23"
# week: at risk, events, S(t), Greenwood's error, 95 % log-log
PRINTED = {
    6: (21, 3, 0.8571, 0.0764, 0.6197, 0.9516),
    7: (17, 1, 0.8067, 0.0869, 0.5631, 0.9228),
    10: (15, 1, 0.7529, 0.0963, 0.5032, 0.8894),
    13: (12, 1, 0.6902, 0.1068, 0.4316, 0.8491),
    16: (11, 1, 0.6275, 0.1141, 0.3675, 0.8049),
    22: (7, 1, 0.5378, 0.1282, 0.2678, 0.7468),
    23: (6, 1, 0.4482, 0.1346, 0.1881, 0.6801),
}
Z = 1.959964
DRAWN = st.lists(
    st.tuples(st.integers(1, 30), st.booleans()), min_size=1, max_size=60
).filter(lambda drawn: any(is_done for _at, is_done in drawn))


def of(weeks: str) -> Survival:
    told = weeks.split()
    took = np.array([float(week.rstrip("+")) for week in told])
    return survival(took, np.array([not week.endswith("+") for week in told]))


def test_the_share_that_waits_is_as_printed() -> None:
    found = of(SIX_MP)
    assert found.at.tolist() == list(PRINTED)
    assert found.left == pytest.approx([row[2] for row in PRINTED.values()], abs=5e-5)
    assert (found.n, found.done) == (21, 9)


def test_the_band_is_greenwoods_on_the_log_log_scale() -> None:
    found = of(SIX_MP)
    low, high = (
        pytest.approx([r[k] for r in PRINTED.values()], abs=5e-5) for k in (4, 5)
    )
    assert found.low == low
    assert found.high == high
    # The printed error makes the same band by its formula.
    for place, (_n, _d, share, error, lower, upper) in enumerate(PRINTED.values()):
        reach = Z * error / (share * abs(math.log(share)))
        assert share ** math.exp(reach) == pytest.approx(lower, abs=5e-4)
        assert share ** math.exp(-reach) == pytest.approx(upper, abs=5e-4)
        assert found.left[place] == pytest.approx(share, abs=5e-5)


def test_the_medians_and_their_intervals_are_as_computed() -> None:
    assert of(SIX_MP).within(0.5) == 23
    assert of(SIX_MP).interval(0.5) == (13, None)
    assert of(SIX_MP).within(0.9) is None
    assert of(PLACEBO).within(0.5) == 8
    assert of(PLACEBO).interval(0.5) == (4, 11)


def test_without_censoring_it_is_the_plain_fraction() -> None:
    """8 of 21 are left after 8 weeks: 0.380952."""
    found = of(PLACEBO)
    left = dict(zip(found.at.tolist(), found.left.tolist(), strict=True))
    assert left[8.0] == pytest.approx(8 / 21)
    assert found.left[-1] == pytest.approx(0.0)
    assert found.low[-1] == 0.0


@given(DRAWN)
def test_it_is_what_statsmodels_makes_of_it(drawn: list[tuple[int, bool]]) -> None:
    took = np.array([float(at) for at, _is_done in drawn])
    is_done = np.array([is_done for _at, is_done in drawn])
    found = survival(took, is_done)
    theirs = SurvfuncRight(took, is_done.astype(int))
    assert found.at.tolist() == theirs.surv_times.tolist()
    assert found.left == pytest.approx(theirs.surv_prob)
    for place, share in enumerate(theirs.surv_prob):
        if 1e-9 < share < 1 - 1e-9:
            error = theirs.surv_prob_se[place]
            reach = Z * error / (share * abs(math.log(share)))
            assert found.low[place] == pytest.approx(share ** math.exp(reach), abs=1e-6)
            high = share ** math.exp(-reach)
            assert found.high[place] == pytest.approx(high, abs=1e-6)


@given(DRAWN)
def test_it_is_the_product_in_exact_fractions(drawn: list[tuple[int, bool]]) -> None:
    found = survival(
        np.array([float(at) for at, _done in drawn]),
        np.array([is_done for _at, is_done in drawn]),
    )
    share, exact = Fraction(1), []
    for moment in sorted({at for at, is_done in drawn if is_done}):
        there = sum(at >= moment for at, _done in drawn)
        share *= 1 - Fraction(drawn.count((moment, True)), there)
        exact.append(float(share))
    assert found.left == pytest.approx(exact, abs=1e-12)
    assert (found.low <= found.left + 1e-12).all()
    assert (found.left <= found.high + 1e-12).all()


def test_the_limits_are_those_of_the_handbooks_example() -> None:
    """NIST/SEMATECH e-Handbook 6.3.2.2: ten batches, mean moving range 1.8778.

    The data are from memory; mean and limits as the handbook prints them.
    """
    flow = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
    between = limits(flow)
    assert between is not None
    assert between.centre == pytest.approx(50.81)
    assert between.high == pytest.approx(55.8041, abs=1e-4)
    assert between.low == pytest.approx(45.8159, abs=1e-4)
    assert between.high - between.centre == pytest.approx(2.66 * 1.8778, abs=2e-3)
    assert all(between.has(one) for one in flow)


def test_littles_law_counts_bottles() -> None:
    """160 bottles, 8 bought a month, so 20 months in the cellar.

    Little and Graves, "Little's Law", in Building Intuition (2008), ch. 5.
    """
    flow = Flow(open_mean=160, rate=8, stay=20)
    assert flow.by_law == 160
    assert flow.says == "agrees"
