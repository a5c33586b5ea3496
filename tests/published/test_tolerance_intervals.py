"""Factors of tolerance intervals (check-values 3.1 to 3.6 and the tables of 3).

READ: read in the source; READ2: read where somebody quotes it; MEMORY: the
attribution is from memory. All numbers were recomputed with scipy.
"""

from math import sqrt

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats  # type: ignore[import-untyped]

from diagnostics.engine.bands import Good, Prior, band_of
from diagnostics.engine.tolerance import two_sided_factor

Numbers = NDArray[np.float64]

# Exact, confidence 0.95 (scipy); agrees to its two decimals with Berthouex &
# Brown, Statistics for Environmental Engineers, Table 21.1 (READ2) for n = 4 to
# 8, 10, 12, 15, 20, 25, 30; ISO 16269-6:2014 annex (MEMORY).
COVERAGES = (0.90, 0.95, 0.99)
TWO_SIDED = {
    2: (31.0922, 36.5192, 46.9444),
    3: (8.3059, 9.7888, 12.6471),
    4: (5.3681, 6.3411, 8.2207),
    5: (4.2906, 5.0769, 6.5980),
    6: (3.7326, 4.4222, 5.7577),
    7: (3.3895, 4.0196, 5.2411),
    8: (3.1560, 3.7455, 4.8892),
    10: (2.8563, 3.3934, 4.4369),
    12: (2.6703, 3.1747, 4.1555),
    15: (2.4922, 2.9649, 3.8853),
    20: (2.3188, 2.7603, 3.6210),
    25: (2.2151, 2.6377, 3.4621),
    30: (2.1451, 2.5549, 3.3546),
    50: (1.9990, 2.3816, 3.1288),
}
ROWS = [
    (count, coverage, factor)
    for count, factors in TWO_SIDED.items()
    for coverage, factor in zip(COVERAGES, factors, strict=True)
]
assert len(ROWS) == 42


@pytest.mark.parametrize(("count", "coverage", "factor"), ROWS)
def test_exact_two_sided_factor(count: int, coverage: float, factor: float) -> None:
    assert two_sided_factor(count, coverage, 0.95) == pytest.approx(factor, abs=5e-5)


def test_exact_two_sided_factor_of_the_nist_case() -> None:
    """3.6  n 43, coverage 0.90, confidence 0.99, method of ISO 16269-6:2014."""
    assert two_sided_factor(43, 0.90, 0.99) == pytest.approx(2.222825, abs=5e-7)


def howe(count: int, coverage: float, confidence: float) -> float:
    """The closed approximation, as NIST/SEMATECH e-Handbook 7.2.6.3 gives it."""
    z = stats.norm.ppf((1 + coverage) / 2)
    chi2 = stats.chi2.ppf(1 - confidence, count - 1)
    return float(z * sqrt((count - 1) * (1 + 1 / count) / chi2))


def test_the_nist_case_by_the_approximation_and_exactly() -> None:
    """3.1, 3.2  printed 2.217 (READ2); limits of mean 97.07, s 0.0268 (READ2)."""
    assert stats.chi2.ppf(0.01, 42) == pytest.approx(23.650, abs=5e-4)
    approximate = howe(43, 0.90, 0.99)
    assert approximate == pytest.approx(2.21732, abs=5e-5)  # z printed as 1.6449
    low, high = 97.07 - 2.21732 * 0.0268, 97.07 + 2.21732 * 0.0268
    assert (low, high) == pytest.approx((97.010576, 97.129424), abs=5e-7)
    exact = two_sided_factor(43, 0.90, 0.99)
    assert approximate < exact < approximate * 1.003


@pytest.mark.parametrize(
    ("count", "approximate"),
    [
        (2, 38.2806),
        (3, 9.9928),
        (5, 5.0935),
        (10, 3.3819),
        (20, 2.7523),
        (30, 2.5496),
    ],
)
def test_the_approximation_strays_where_a_bench_has_its_boards(
    count: int, approximate: float
) -> None:
    """Howe at coverage and confidence 0.95: 4.8 % off at n = 2."""
    assert howe(count, 0.95, 0.95) == pytest.approx(approximate, abs=5e-5)
    off = approximate / two_sided_factor(count, 0.95, 0.95) - 1
    assert abs(off) < 0.049
    assert (off > 0.02) is (count <= 3)


# One-sided k1 = t(confidence; n - 1, z_p sqrt(n)) / sqrt(n), non-central t (scipy);
# ISO 16269-6:2014 annex and NIST tables (MEMORY). We have no one-sided interval:
# a one-sided factor at the same coverage must lie below ours, and at coverage
# (1 + p)/2 not far from it, since two tails of half the size are asked.
ONE_SIDED = {
    2: (20.5815, 26.2597, 37.0936),
    3: (6.1553, 7.6559, 10.5527),
    5: (3.4066, 4.2027, 5.7411),
    10: (2.3546, 2.9110, 3.9811),
    30: (1.7773, 2.2198, 3.0639),
}


def one_sided(count: int, coverage: float, confidence: float) -> float:
    off = stats.norm.ppf(coverage) * sqrt(count)
    return float(stats.nct.ppf(confidence, count - 1, off) / sqrt(count))


@pytest.mark.parametrize("count", ONE_SIDED)
def test_a_two_sided_factor_lies_above_the_one_sided(count: int) -> None:
    for coverage, factor in zip(COVERAGES, ONE_SIDED[count], strict=True):
        assert one_sided(count, coverage, 0.95) == pytest.approx(factor, abs=5e-5)
        assert two_sided_factor(count, coverage, 0.95) > factor


def test_the_one_sided_nist_case() -> None:
    """3.3 to 3.5  printed 1.8752 (READ2), limit 97.12026; exact 1.873954."""
    z, z_conf = stats.norm.ppf(0.90), stats.norm.ppf(0.99)
    a = 1 - z_conf**2 / (2 * 42)
    b = z**2 - z_conf**2 / 43
    assert (a, b) == pytest.approx((0.935573, 1.516516), abs=5e-6)
    closed = (z + sqrt(z**2 - a * b)) / a
    assert closed == pytest.approx(1.87519, abs=5e-6)
    upper = 97.07 + 1.8752 * 0.0268
    assert upper == pytest.approx(97.12026, abs=5e-6)
    assert one_sided(43, 0.90, 0.99) == pytest.approx(1.873954, abs=5e-7)
    assert one_sided(43, 0.90, 0.99) < two_sided_factor(43, 0.90, 0.99)


@pytest.mark.parametrize("count", [3, 5, 10])
def test_the_interval_keeps_its_confidence_and_about_the_median_it_would_not(
    count: int,
) -> None:
    """Against simulation: 20,000 samples of normal boards, seed fixed."""
    draws, chance = 20_000, np.random.default_rng(count)
    boards = chance.standard_normal((draws, count))
    half = two_sided_factor(count, 0.95, 0.95) * boards.std(axis=1, ddof=1)
    noise = 4 * sqrt(0.95 * 0.05 / draws)
    kept = {
        name: float((within(centre, half) >= 0.95).mean())
        for name, centre in (
            ("mean", boards.mean(axis=1)),
            ("median", np.median(boards, axis=1)),
        )
    }
    assert kept["mean"] == pytest.approx(0.95, abs=noise)
    assert kept["median"] < kept["mean"]


def within(centre: Numbers, half: Numbers) -> Numbers:
    found: Numbers = stats.norm.cdf(centre + half) - stats.norm.cdf(centre - half)
    return found


# 2.5  JCGM 100:2008, 4.4.3 and Table 1 (MEMORY); 2.12  H.2, Table H.2 (MEMORY);
# mean, and standard deviation as printed there or as √n times that of the mean.
TEMPERATURES = (
    "96.90 98.18 98.25 98.61 99.03 99.49 99.56 99.74 99.89 100.07 100.33 100.42 "
    "100.68 100.95 101.11 101.20 101.57 101.84 102.36 102.72"
)
OBSERVED = [
    (TEMPERATURES, 100.145, 1.48884, 2.7603),
    ("5.007 4.994 5.005 4.990 4.999", 4.9990, 0.0032 * sqrt(5), 5.0769),
    ("19.663 19.639 19.640 19.685 19.678", 19.6610, 0.0095 * sqrt(5), 5.0769),
    ("1.0456 1.0438 1.0468 1.0428 1.0433", 1.04446, 0.00075 * sqrt(5), 5.0769),
]


@pytest.mark.parametrize(
    ("observed", "mean", "sd", "k"), OBSERVED, ids=["2.5", "V", "I", "phi"]
)
def test_mean_and_deviation_behind_a_band_are_those_of_the_guide(
    observed: str, mean: float, sd: float, k: float
) -> None:
    readings = [Good(n, float(text)) for n, text in enumerate(observed.split())]
    found = band_of(readings, "V")
    assert found is not None
    assert found.tolerance is not None
    low, high = found.tolerance.low, found.tolerance.high
    assert (low + high) / 2 == pytest.approx(mean, rel=1e-5)
    assert (high - low) / 2 / k == pytest.approx(
        sd, rel=0.02 if len(readings) < 9 else 1e-4
    )


def test_the_band_uses_mean_deviation_and_the_exact_factor() -> None:
    """3.7's first seven values (NIST 1.3.5.17.1, READ), by numpy and the table."""
    values = (199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18)
    readings = [Good(board, value) for board, value in enumerate(values)]
    found = band_of(readings, "V", Prior(200.0, 2.0))
    assert found is not None
    assert found.tolerance is not None
    half = 4.0196 * np.std(values, ddof=1)
    ends = (np.mean(values) - half, np.mean(values) + half)
    assert (found.tolerance.low, found.tolerance.high) == pytest.approx(ends, abs=1e-3)
