"""The factor of a two-sided tolerance interval for normal values. PURE.

An interval mean +- k s holds at least the share ``coverage`` of all boards with
probability ``confidence``. With both ends unknown k solves the integral

    E over z ~ N(0, 1) of P(chi2(n-1) > (n-1) r(z)^2 / k^2) = confidence,
    Phi(z/sqrt(n) + r) - Phi(z/sqrt(n) - r) = coverage,

where z/sqrt(n) is how far the mean has missed (the exact method of
ISO 16269-6:2014). r^2 is the coverage quantile of a non-central chi-square with
one degree of freedom. Exact to six figures; a closed approximation (Howe's) is
4.8 % off at two boards, which is where a bench has its data.

>>> round(two_sided_factor(3, 0.95, 0.95), 4)
9.7888
"""

from functools import cache
from math import pi, sqrt

COVERAGE = 0.95
CONFIDENCE = 0.95
NODES = 60
BEYOND = 8.0  # standard deviations; what lies further out weighs 1e-15
LEAST, MOST = 1e-3, 1e6
HALVINGS = 64


@cache
def two_sided_factor(
    count: int, coverage: float = COVERAGE, confidence: float = CONFIDENCE
) -> float:
    """k of mean +- k s for ``count`` >= 2 values, exact; no unit.

    Raises ``ValueError`` for fewer than two values, or a share not within (0, 1).
    """
    if count < 2 or not (0 < coverage < 1 and 0 < confidence < 1):
        raise ValueError("a tolerance interval needs two values and two shares")
    import numpy as np  # noqa: PLC0415  0.4 s with scipy; a page without bands spares it
    from scipy import special  # type: ignore[import-untyped]  # noqa: PLC0415

    places, weights = np.polynomial.legendre.leggauss(NODES)
    z = (places + 1) * BEYOND / 2
    density = weights * BEYOND * np.exp(-z * z / 2) / sqrt(2 * pi)
    r_squared = special.chndtrix(coverage, 1.0, z * z / count)
    half_free = (count - 1) / 2

    def confidence_of(k: float) -> float:
        held = special.gammaincc(half_free, half_free * r_squared / (k * k))
        return float(density @ held)

    low, high = LEAST, MOST
    for _halving in range(HALVINGS):
        middle = sqrt(low * high)
        low, high = (
            (middle, high) if confidence_of(middle) < confidence else (low, middle)
        )
    return sqrt(low * high)
