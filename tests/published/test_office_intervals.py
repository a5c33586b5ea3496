"""The office's intervals against printed cases and scipy.

Wilson: R. G. Newcombe, "Two-sided confidence intervals for the single proportion",
Statistics in Medicine 17, 1998, 857-872, table I, method 3: 81/263, 15/148, 0/20,
1/29, quoted from memory; and Wilson's formula (1927) worked out by statsmodels.
Garwood: F. Garwood, "Fiducial limits for the Poisson distribution", Biometrika 28,
1936, 437-442: counts of 0 to 3, 5, 10 and 20, from memory and checked with scipy.
"""

import pytest
from scipy.stats import binomtest, chi2, poisson  # type: ignore[import-untyped]

from shop.office.quality.poisson import garwood
from shop.office.shares import Counted

WILSON = [
    (0, 10, 0.0, 0.2775),
    (1, 10, 0.0179, 0.4042),
    (5, 10, 0.2366, 0.7634),
    (9, 10, 0.5958, 0.9821),
    (10, 10, 0.7225, 1.0),
    (1, 4, 0.0456, 0.6994),
    (3, 3, 0.4385, 1.0),
    (81, 263, 0.2553, 0.3662),
    (15, 148, 0.0624, 0.1605),
    (0, 20, 0.0, 0.1611),
    (1, 29, 0.0061, 0.1718),
]
GARWOOD = [
    (0, 0.0, 3.6889),
    (1, 0.0253, 5.5716),
    (2, 0.2422, 7.2247),
    (3, 0.6187, 8.7673),
    (5, 1.6235, 11.6683),
    (10, 4.7954, 18.3904),
    (20, 12.2165, 30.8884),
]


@pytest.mark.parametrize(("k", "n", "low", "high"), WILSON)
def test_wilson_as_printed_and_by_scipy(
    k: int, n: int, low: float, high: float
) -> None:
    found = Counted(k, n)
    assert found.interval == pytest.approx((low, high), abs=5.1e-5)
    theirs = binomtest(k, n).proportion_ci(method="wilson")
    assert found.interval == pytest.approx((theirs.low, theirs.high), abs=1e-12)
    assert found.low == round(100 * theirs.low, 1)
    assert found.high == round(100 * theirs.high, 1)


@pytest.mark.parametrize(("k", "low", "high"), GARWOOD)
def test_garwood_as_printed(k: int, low: float, high: float) -> None:
    assert garwood(k) == pytest.approx((low, high), abs=5.1e-5)


@pytest.mark.parametrize("k", [0, 1, 7, 52, 400, 3000])
def test_garwood_by_the_chi_squared_quantiles(k: int) -> None:
    low = chi2.ppf(0.025, 2 * k) / 2 if k else 0.0
    high = chi2.ppf(0.975, 2 * k + 2) / 2
    assert garwood(k) == pytest.approx((low, high), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("k", [1, 4, 90, 2000])
def test_beyond_each_end_lies_one_in_forty(k: int) -> None:
    low, high = garwood(k)
    assert poisson.cdf(k, high) == pytest.approx(0.025, rel=1e-9)
    assert poisson.sf(k - 1, low) == pytest.approx(0.025, rel=1e-9)
