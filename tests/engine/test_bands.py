"""Bands of good boards: the prior, the two bands, odd boards, edges."""

import sys
from math import log, sqrt
from subprocess import run

import numpy as np
import pytest
from scipy import stats  # type: ignore[import-untyped]

from diagnostics.engine.bands import (
    OHMS_LOG_SD,
    Band,
    Good,
    Prior,
    Scale,
    Span,
    band_of,
    prior_of,
)
from diagnostics.engine.boards import board_of, load_family
from diagnostics.engine.tolerance import two_sided_factor
from diagnostics.engine.verdicts import RED_ON_GROUND, Yardstick

RAIL = Yardstick("V", limit_low=3.135, limit_high=3.465)


def goods(*values: float, u: float = 0.0) -> list[Good]:
    return [Good(board, value, u) for board, value in enumerate(values, 1)]


def band(
    *values: float,
    unit: str = "ohm",
    u: float = 0.0,
    prior: Prior | None = None,
    coverage: float = 0.95,
) -> Band:
    found = band_of(goods(*values, u=u), unit, prior, coverage=coverage)
    assert found is not None
    return found


# --- how many boards --------------------------------------------------------


def test_no_board_no_band() -> None:
    assert band_of([], "ohm") is None


@pytest.mark.parametrize(("count", "decides"), [(1, False), (2, False), (3, True)])
def test_only_from_three_boards_on_a_band_decides(count: int, decides: bool) -> None:
    found = band(*[41e3, 44e3, 48e3][:count])
    assert found.decides is decides
    assert (found.tolerance is not None) is decides
    assert found.boards == count
    assert found.predictive.low < found.middle < found.predictive.high


def test_the_bands_say_what_they_claim() -> None:
    found = band(41e3, 44e3, 48e3)
    assert found.tolerance is not None
    assert (found.predictive.coverage, found.predictive.confidence) == (0.95, None)
    assert (found.tolerance.coverage, found.tolerance.confidence) == (0.95, 0.95)


def test_a_band_holds_what_lies_within_its_ends() -> None:
    span = Span(1.0, 2.0, 0.95)
    assert [span.holds(value) for value in (0.9, 1.0, 2.0, 2.1)] == [
        False,
        True,
        True,
        False,
    ]


# --- the predictive band against other ways to it ---------------------------


def test_the_predictive_band_is_the_integral_over_mean_and_variance() -> None:
    """Against brute force on a grid: prior x likelihood, then the chance within.

    Median and mean are one here, so that the textbook's model is ours.
    """
    values, prior = (3.27, 3.30, 3.33), Prior(3.35, 0.03, 0.5, 4.0)
    found = band(*values, unit="V", prior=prior).predictive
    mu, sd = np.meshgrid(np.linspace(2.9, 3.7, 801), np.geomspace(0.004, 0.6, 801))
    # sigma^2 ~ scaled inverse chi-square(nu, sd0^2), mu given it ~ N(mean, /kappa);
    # the grid is even in log sigma, so the density carries one sigma^2
    nu = prior.sd_weight
    weight = stats.invgamma.pdf(sd**2, nu / 2, scale=nu * prior.sd**2 / 2) * sd**2
    weight *= stats.norm.pdf(mu, prior.mean, sd / sqrt(prior.mean_weight))
    for value in values:
        weight *= stats.norm.pdf(value, mu, sd)
    for end, chance in ((found.low, 0.025), (found.high, 0.975)):
        below = (weight * stats.norm.cdf(end, mu, sd)).sum() / weight.sum()
        assert below == pytest.approx(chance, abs=2e-5)


def test_without_knowledge_of_mean_and_spread_it_is_the_textbook_interval() -> None:
    """Student's prediction interval x ± t s sqrt(1 + 1/n), by scipy."""
    values = (3.27, 3.29, 3.30, 3.31, 3.33)
    found = band(*values, unit="V", prior=Prior(0.0, 0.0, 0.0, -1.0)).predictive
    sd = np.std(values, ddof=1) * sqrt(1 + 1 / 5)
    low, high = stats.t.interval(0.95, 4, loc=3.30, scale=sd)
    assert (found.low, found.high) == pytest.approx((low, high), rel=1e-9)


def test_before_many_boards_the_prior_keeps_the_band_from_being_too_narrow() -> None:
    """Three boards alike to the digit do not prove that a fourth will be."""
    found = band(3.300, 3.300, 3.300, unit="V")
    assert found.predictive.high - found.predictive.low > 2 * 0.02
    assert found.tolerance is not None
    assert found.tolerance.high - found.tolerance.low < 1e-12


def test_one_odd_board_widens_the_band_and_does_not_move_it() -> None:
    plain = band(40e3, 41e3, 42e3, 43e3, 44e3)
    with_odd = band(40e3, 41e3, 42e3, 43e3, 440e3)
    assert with_odd.middle == pytest.approx(plain.middle)
    assert with_odd.predictive.low < plain.predictive.low
    centre = sqrt(with_odd.predictive.low * with_odd.predictive.high)
    assert centre == pytest.approx(42e3)


# --- the meter --------------------------------------------------------------


def test_no_band_is_narrower_than_the_meter() -> None:
    found = band(3.30, 3.30, 3.30, unit="V", u=0.05)
    assert found.tolerance is not None
    for span in (found.predictive, found.tolerance):
        assert span.high - span.low >= 2 * 1.9599 * 0.05


def test_the_meters_error_adds_in_quadrature() -> None:
    exact, coarse = (band(3.28, 3.30, 3.33, unit="V", u=u) for u in (0.0, 0.1))
    for one, other in (
        (exact.predictive, coarse.predictive),
        (exact.tolerance, coarse.tolerance),
    ):
        assert one is not None
        assert other is not None
        added = (other.high - other.low) ** 2 - (one.high - one.low) ** 2
        assert sqrt(added) / 2 == pytest.approx(1.959964 * 0.1)


def test_in_ohms_the_meters_error_is_a_share_of_the_value() -> None:
    found = band(100.0, 1000.0, 10e3, u=10.0)
    bare = band(100.0, 1000.0, 10e3)
    added = (
        log(found.predictive.high / found.predictive.low) ** 2
        - log(bare.predictive.high / bare.predictive.low) ** 2
    )
    shares = sqrt((0.1**2 + 0.01**2 + 0.001**2) / 3)
    assert sqrt(added) / 2 == pytest.approx(1.959964 * shares)


def test_ohms_that_the_meter_cannot_tell_from_nought_count_as_its_error() -> None:
    assert band(0.0, 0.0, 0.0, u=0.2).middle == pytest.approx(0.2)
    assert band(0.0).middle == pytest.approx(1e-3)


def test_a_band_of_nearly_no_knowledge_ends_in_a_number() -> None:
    found = band(158e3, prior=Prior(0.0, 1.0, 1.0, 0.5), coverage=0.9999)
    assert 0.0 <= found.predictive.low < 1e-100
    assert 1e300 < found.predictive.high < float("inf")


# --- the prior --------------------------------------------------------------


def test_a_range_of_the_family_is_the_band_before_the_first_board() -> None:
    """The family's 95 % hold the spread inside a model and that between models."""
    prior = prior_of(RAIL)
    assert prior is not None
    assert prior.mean == pytest.approx(3.3)
    assert prior.sd == pytest.approx(0.033)
    spread = prior.sd * sqrt(1 + 1 / prior.mean_weight)
    assert 1.959964 * spread == pytest.approx(0.165)


def test_the_usual_range_goes_before_the_limits() -> None:
    usual = Yardstick(
        "V", limit_low=3.0, limit_high=3.6, usual_low=3.29, usual_high=3.35
    )
    prior = prior_of(usual)
    assert prior is not None
    assert prior.mean == pytest.approx(3.32)
    assert prior.mean_weight == pytest.approx(1.0)  # narrower than the 1 % of a model
    assert prior.sd == pytest.approx(0.03 / 1.959964 / sqrt(2))


def test_ohms_lie_apart_by_a_fifth_of_a_logarithm() -> None:
    prior = prior_of(Yardstick("ohm", usual_low=1e3, usual_high=100e3))
    assert prior is not None
    assert prior.mean == pytest.approx(log(10e3))
    assert prior.sd == OHMS_LOG_SD


@pytest.mark.parametrize(
    ("unit", "polarity", "share"),
    [("V", "", 0.01), ("V", RED_ON_GROUND, 0.05), ("A", "", 0.20), ("Hz", "", 0.05)],
)
def test_what_is_not_ohms_spreads_by_a_share_of_its_middle(
    unit: str, polarity: str, share: float
) -> None:
    wide = Yardstick(unit, usual_low=0.1, usual_high=0.9, polarity=polarity)
    prior = prior_of(wide)
    assert prior is not None
    assert prior.sd == pytest.approx(share * 0.5)


@pytest.mark.parametrize(
    "open_range",
    [
        Yardstick("ohm", limit_low=20, usual_low=10e3, watch_low=1e3),
        Yardstick("V"),
        Yardstick("V", limit_high=0.1),
        Yardstick("V", usual_low=0.4),
        Yardstick("V", usual_low=0.4, usual_high=0.4),
    ],
)
def test_an_open_range_says_nothing_of_the_mean(open_range: Yardstick) -> None:
    assert prior_of(open_range) is None


def test_every_range_of_the_family_gives_a_prior_that_holds_it() -> None:
    """On the family that comes with the program: the band of one middling board."""
    board = board_of(load_family("laptop_barrel"))
    yardsticks = [board.yardstick(point_id) for point_id in board.points]
    closed = [(one, prior) for one in yardsticks if one and (prior := prior_of(one))]
    assert len(closed) > 20
    for one, prior in closed:
        middle = Scale.of_unit(one.unit).given(prior.mean)
        found = band_of([Good(1, middle)], one.unit, prior)
        assert found is not None
        assert found.predictive.holds(middle)


# --- odd boards -------------------------------------------------------------


def test_odd_boards_are_flagged_and_stay_in() -> None:
    found = band(40e3, 41e3, 42e3, 43e3, 44e3, 4.2e3)
    assert [one.board for one in found.odd] == [6]
    assert found.odd[0].score < -3.5
    assert found.boards == 6
    assert not found.spread_is_nought


def test_where_more_than_half_read_the_same_nothing_is_called_odd() -> None:
    found = band(3.3, 3.3, 3.3, 3.3, 1.2, unit="V")
    assert found.spread_is_nought
    assert found.odd == ()
    assert not band(3.3, unit="V").spread_is_nought
    assert not band(3.3, 3.3, unit="V").spread_is_nought


# --- the factor, and what it costs to load ----------------------------------


@pytest.mark.parametrize(
    ("count", "coverage", "confidence"),
    [(1, 0.95, 0.95), (3, 1.0, 0.95), (3, 0.95, 0.0)],
)
def test_no_factor_of_one_value_or_of_a_share_that_is_none(
    count: int, coverage: float, confidence: float
) -> None:
    with pytest.raises(ValueError, match="two values"):
        two_sided_factor(count, coverage, confidence)


def test_the_engine_loads_without_scipy() -> None:
    """0.4 s, which a page without bands need not wait for."""
    code = (
        "import sys, diagnostics.engine.bands as b;"
        "assert 'scipy' not in sys.modules and 'numpy' not in sys.modules;"
        "b.band_of([b.Good(1, 1e3)], 'ohm');"
        "assert 'scipy.special' in sys.modules and 'scipy.stats' not in sys.modules"
    )
    done = run([sys.executable, "-c", code], check=False, capture_output=True)
    assert done.returncode == 0, done.stderr.decode()
