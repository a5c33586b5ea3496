"""Wilson's interval against printed cases.

R. G. Newcombe, "Two-sided confidence intervals for the single proportion", Statistics
in Medicine 17, 1998, 857-872, table I, method 3 (score, no continuity correction):
81 of 263, 15 of 148, 0 of 20, 1 of 29, at 95 %. The figures are quoted from memory
and were checked against scipy, which also stands beside them here.
"""

import pytest
from scipy.stats import binomtest  # type: ignore[import-untyped]

from diagnostics.engine.calibration import wilson

PRINTED = [
    (81, 263, 0.2553, 0.3662),
    (15, 148, 0.0624, 0.1605),
    (0, 20, 0.0, 0.1611),
    (1, 29, 0.0061, 0.1718),
]


@pytest.mark.parametrize(("right", "of", "low", "high"), PRINTED)
def test_the_printed_cases(right: int, of: int, low: float, high: float) -> None:
    found = wilson(right, of)
    assert found == pytest.approx((low, high), abs=5e-5)


@pytest.mark.parametrize("of", [1, 3, 5, 18, 200])
def test_scipy_says_the_same(of: int) -> None:
    for right in range(of + 1):
        theirs = binomtest(right, of).proportion_ci(0.95, method="wilson")
        assert wilson(right, of) == pytest.approx((theirs.low, theirs.high), abs=1e-12)
