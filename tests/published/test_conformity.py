"""Conformity with a tolerance (check-values 1.1 to 1.18).

JCGM 106:2012, Evaluation of measurement data - The role of measurement
uncertainty in conformity assessment; ILAC-G8:09/2019, Guidelines on decision
rules. READ: read in the source; READ2: read where somebody quotes it; MEMORY:
the attribution is from memory until someone reads the source. All numbers were
recomputed with scipy, which is asked again here.
"""

from statistics import NormalDist

import pytest
from scipy.stats import norm  # type: ignore[import-untyped]

from diagnostics.engine.limits import FAILS, PASSES
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.verdicts import Observed, Word, Yardstick, judge, p_inside

# Limits: Intel ATX12V Power Supply Design Guide 2.0, Table 2 (READ); the table
# prints 3.135 and 3.465 rounded.
ATX_33 = (3.135, 3.465)
ATX_12 = (11.40, 12.60)

PROBABILITIES = [
    # 1.1  JCGM 106, 7.4 worked example: inputs READ2
    (13.6, 1.8, 12.5, 16.3, 0.66263, 5e-6),
    # 1.3  JCGM 106, 7.3.2, Zener diode: MEMORY
    (-5.47, 0.05, None, -5.40, 0.91924, 5e-6),
    # 1.4  JCGM 106, 7.3.3, burst pressure: MEMORY
    (509.7, 8.6, 490.0, None, 0.98901, 5e-6),
    # 1.11, 1.12  normal distribution, centred, C_m = 1, 1.5, 2
    (0.0, 1.0, -2.0, 2.0, 0.954500, 5e-7),
    (0.0, 1.0, -3.0, 3.0, 0.997300, 5e-7),
    (0.0, 1.0, -4.0, 4.0, 0.999937, 5e-7),
    # 1.14 to 1.18  from the ATX limits above, same formula
    (3.150, 0.012, *ATX_33, 0.894350, 5e-7),
    (3.120, 0.012, *ATX_33, 0.105650, 5e-7),
    (3.460, 0.012, *ATX_33, 0.661539, 5e-7),
    (11.45, 0.05, *ATX_12, 0.841345, 5e-7),
    (11.40, 0.05, *ATX_12, 0.500000, 5e-7),
]


@pytest.mark.parametrize(("y", "u", "low", "high", "p", "half_digit"), PROBABILITIES)
def test_probability_of_conformity(
    y: float,
    u: float,
    low: float | None,
    high: float | None,
    p: float,
    half_digit: float,
) -> None:
    assert p_inside(y, u, low, high) == pytest.approx(p, abs=half_digit)


@pytest.mark.parametrize(("y", "u", "low", "high", "p", "half_digit"), PROBABILITIES)
def test_no_published_case_is_decided_against_its_probability(
    y: float,
    u: float,
    low: float | None,
    high: float | None,
    p: float,
    half_digit: float,
) -> None:
    observed = Observed(Outcome.VALUE, y, u, "V")
    word = judge(observed, Yardstick("V", limit_low=low, limit_high=high)).word
    assert (word is Word.GOOD) is (p >= PASSES)
    assert (word is Word.BAD) is (p <= FAILS)
    assert half_digit < min(abs(p - PASSES), abs(p - FAILS))


def test_the_printed_roundings_of_the_worked_examples() -> None:
    """Printed 0.66 (READ2), 0.92 and 0.99 (MEMORY)."""
    printed = [f"{p_inside(*row[:4]):.2f}" for row in PROBABILITIES[:3]]
    assert printed == ["0.66", "0.92", "0.99"]


def test_measurement_capability_index() -> None:
    """1.2  JCGM 106, 7.6.3: C_m = T/(4u) of the first example (MEMORY).

    By C_m the best that a centred reading could reach is 2*Phi(2 C_m) - 1.
    """
    t, u = 16.3 - 12.5, 1.8
    capability = t / (4 * u)
    assert capability == pytest.approx(0.52778, abs=5e-6)
    centred = p_inside(12.5 + t / 2, u, 12.5, 16.3)
    assert centred == pytest.approx(2 * norm.cdf(2 * capability) - 1, abs=1e-12)


@pytest.mark.parametrize(
    ("r", "risk"),
    [
        (0.0, 0.50000),  # 1.5  simple acceptance, ILAC-G8 4.2.1 (MEMORY)
        (0.83, 0.048457),  # 1.6  ISO 14253-1 by ILAC-G8 Table 1 (MEMORY), < 5 %
        (1.0, 0.022750),  # 1.7  ILAC-G8 Table 1 (MEMORY), < 2.5 %
        (1.5, 0.0013499),  # 1.8  ILAC-G8 Table 1 (MEMORY), < 0.16 %
        (3.0, 9.866e-10),  # 1.9  ILAC-G8 Table 1 (MEMORY), < 1 ppm
    ],
)
def test_risk_behind_a_guard_band_of_r_expanded_uncertainties(
    r: float, risk: float
) -> None:
    u = 0.01
    reading = 5.0 - r * 2 * u
    assert 1 - p_inside(reading, u, None, 5.0) == pytest.approx(risk, rel=1e-4)
    assert p_inside(reading, u, 5.0, None) == pytest.approx(risk, rel=1e-4)


def test_our_guard_is_the_exact_multiplier_for_five_per_cent() -> None:
    """1.10  z_0.95 / 2 = 0.822427: there good begins, and not before."""
    r = NormalDist().inv_cdf(0.95) / 2
    assert r == pytest.approx(0.822427, abs=5e-7)
    u, limit = 0.01, Yardstick("V", limit_high=5.0)
    for factor, word in ((0.8225, Word.GOOD), (0.8223, Word.UNCLEAR)):
        inside = Observed(Outcome.VALUE, 5.0 - factor * 2 * u, u, "V")
        assert judge(inside, limit).word is word
    for factor, word in ((0.8225, Word.BAD), (0.8223, Word.UNCLEAR)):
        outside = Observed(Outcome.VALUE, 5.0 + factor * 2 * u, u, "V")
        assert judge(outside, limit).word is word


@pytest.mark.parametrize(
    ("p", "z"),
    [(0.95, 1.644854), (0.975, 1.959964), (0.99, 2.326348), (0.999, 3.090232)],
)
def test_normal_quantiles(p: float, z: float) -> None:
    """1.13  NIST/SEMATECH e-Handbook 1.3.6.7.1, by our own probability."""
    assert p_inside(0.0, 1.0, None, z) == pytest.approx(p, abs=5e-7)
