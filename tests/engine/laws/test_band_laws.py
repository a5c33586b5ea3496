"""What must hold of every band of good boards."""

from dataclasses import replace
from math import exp, log, sqrt
from random import Random
from statistics import median, pstdev

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnostics.engine.bands import Band, Good, Prior, Span, band_of

pytestmark = pytest.mark.long

OHMS = st.floats(0.5, 1e7)
VOLTS = st.floats(0.5, 25)
ERRORS = st.sampled_from([0.0, 1e-3, 0.02])
SETS = st.sampled_from(["ohm", "V"]).flatmap(
    lambda unit: st.tuples(
        st.just(unit),
        st.lists(OHMS if unit == "ohm" else VOLTS, min_size=1, max_size=9),
    )
)


def goods(values: list[float], u: float = 0.0) -> list[Good]:
    return [Good(board, value, u) for board, value in enumerate(values)]


def band(
    values: list[float], unit: str, u: float = 0.0, prior: Prior | None = None
) -> Band:
    found = band_of(goods(values, u), unit, prior)
    assert found is not None
    return found


def width(span: Span | None) -> float:
    assert span is not None
    return span.high - span.low


@given(SETS, ERRORS, st.randoms())
def test_the_order_of_the_readings_does_not_matter(
    given_set: tuple[str, list[float]], u: float, chance: Random
) -> None:
    unit, values = given_set
    readings = goods(values, u)
    turned = readings.copy()
    chance.shuffle(turned)
    assert band_of(readings, unit) == band_of(turned, unit)


@given(st.lists(VOLTS, min_size=1, max_size=9), ERRORS)
def test_millivolts_and_volts_give_the_same_band(values: list[float], u: float) -> None:
    prior = Prior(3.3, 0.033, 0.2)
    scaled = replace(prior, mean=3300.0, sd=33.0)
    plain = band(values, "V", u, prior)
    milli = band([1000 * value for value in values], "V", 1000 * u, scaled)
    same_band(plain, milli, 1000.0)


@given(st.lists(st.floats(2, 1e7), min_size=1, max_size=9), ERRORS)
def test_kilohms_and_ohms_give_the_same_band(values: list[float], u: float) -> None:
    """On logarithms a factor only shifts: the prior's sd stays."""
    plain = band(values, "ohm", u)
    kilo = band([value * 1000 for value in values], "ohm", u * 1000)
    same_band(plain, kilo, 1000.0)


def same_band(one: Band, other: Band, factor: float) -> None:
    assert other.middle == pytest.approx(factor * one.middle)
    for first, second in (
        (one.predictive, other.predictive),
        (one.tolerance, other.tolerance),
    ):
        if first is None:
            assert second is None
            continue
        assert second is not None
        ends = (factor * first.low, factor * first.high)
        within = 1e-9 * max(map(abs, ends))
        assert (second.low, second.high) == pytest.approx(ends, rel=1e-6, abs=within)


@given(
    SETS,
    st.floats(-4, 15),
    st.floats(1e-3, 1),
    st.floats(0, 1),
    st.floats(0.1, 6),
    st.floats(0.9, 0.999),
)
def test_the_predictive_band_holds_the_median(
    given_set: tuple[str, list[float]],
    mean: float,
    sd: float,
    kappa: float,
    nu: float,
    coverage: float,
) -> None:
    unit, values = given_set
    found = band_of(goods(values), unit, Prior(mean, sd, kappa, nu), coverage=coverage)
    assert found is not None
    slack = 1e-9 * abs(found.middle)
    assert found.predictive.low - slack <= found.middle
    assert found.middle <= found.predictive.high + slack


# --- more boards --------------------------------------------------------------


@given(
    st.lists(st.floats(-1, 1), min_size=1, max_size=6),
    st.integers(2, 5),
    st.floats(0, 1),
    st.floats(0, 1),
    ERRORS,
)
def test_more_good_boards_of_the_same_spread_never_widen_a_band(
    shape: list[float], times: int, kappa: float, away: float, u: float
) -> None:
    """The same boards again, so that median and mean square stay as they are."""
    sd = 0.033
    prior = Prior(3.3 + away * sd, sd, kappa)
    few = [3.3 + one * sd for one in within_the_prior(shape, prior)]
    fewer, more = (band(values, "V", u, prior) for values in (few, few * times))
    assert width(more.predictive) <= width(fewer.predictive) * (1 + 1e-9)
    if fewer.tolerance is not None:
        assert width(more.tolerance) <= width(fewer.tolerance) * (1 + 1e-9)


@given(
    st.lists(st.floats(-1, 1), min_size=1, max_size=6),
    st.lists(st.floats(-1, 1), min_size=1, max_size=6),
    st.sampled_from(["ohm", "V"]),
)
def test_other_good_boards_of_no_larger_spread_never_widen_a_band(
    shape: list[float], others: list[float], unit: str
) -> None:
    """Boards that are not the same again, brought to the same spread."""
    prior = Prior(3.3, 0.033)
    few = [3.3 + 0.033 * one for one in within_the_prior(shape, prior)]
    larger = [*shape, *others]
    spread = min(mean_square(few), 0.033**2)
    assume(mean_square(larger) > 0)
    shrunk = sqrt(spread / mean_square(larger)) * (1 - 1e-9)
    many = [3.3 + shrunk * (one - median(larger)) for one in larger]
    fewer, more = (predictive_on_its_scale(values, unit) for values in (few, many))
    assert more <= fewer * (1 + 1e-9)
    if len(few) >= 3 and sample_variance(many) <= sample_variance(few):
        small, large = band(few, "V").tolerance, band(many, "V").tolerance
        assert width(large) <= width(small) * (1 + 1e-6) + 1e-12


def predictive_on_its_scale(scaled: list[float], unit: str) -> float:
    """The width where it is reckoned: a ratio of ohms, a difference of volts."""
    if unit == "V":
        return width(band(scaled, "V", prior=Prior(3.3, 0.033)).predictive)
    ohms = [exp(value) for value in scaled]
    found = band(ohms, "ohm", prior=Prior(3.3, 0.033)).predictive
    return log(found.high / found.low)


def within_the_prior(shape: list[float], prior: Prior) -> list[float]:
    """The shape about nought, shrunk until its mean square is within the prior's.

    In units of the prior's sd, with what the prior's mean lies away from it.
    """
    centred = [one - median(shape) for one in shape]
    away = (prior.mean - 3.3) / prior.sd
    left = 1 - prior.mean_weight * away**2 / (prior.mean_weight + len(shape))
    found = mean_square(centred)
    shrink = min(1.0, sqrt(max(0.0, left) / found)) if found else 1.0
    return [one * shrink for one in centred]


def mean_square(values: list[float]) -> float:
    middle = median(values)
    return sum((one - middle) ** 2 for one in values) / len(values)


def sample_variance(values: list[float]) -> float:
    return pstdev(values) ** 2 * len(values) / (len(values) - 1)


def test_a_wider_spread_than_the_priors_may_widen_it() -> None:
    """The condition of the law is needed: here it does not hold, nor does the law."""
    few = band([3.2, 3.4], "V", prior=Prior(3.3, 0.001))
    more = band([3.2, 3.4] * 3, "V", prior=Prior(3.3, 0.001))
    assert width(more.predictive) > width(few.predictive)
