"""Instrument specification to standard uncertainty (check-values 2.1 to 2.21).

JCGM 100:2008 (GUM) and EA-4/02 M:2022, supplement S9. READ2: read where somebody
quotes it; MEMORY: from memory until someone reads the source. The numbers were
recomputed; the library `uncertainties` combines them once more here.
"""

from math import hypot, sqrt

import pytest
from uncertainties import ufloat

from diagnostics.engine.meters import (
    MeterRange,
    MeterSpec,
    Uncertainty,
    half_width,
    standard_uncertainty,
)


def read(
    reading: float, percent: float, counts: float, digit: float, full: float = 1000.0
) -> Uncertainty:
    spec = MeterSpec("published", (MeterRange("V", full, percent, counts, digit),))
    return standard_uncertainty(spec, "V", reading)


def gum_voltmeter() -> Uncertainty:
    """JCGM 100, 4.3.7 example 2: 14e-6 of reading + 2e-6 of the range of 1 V."""
    return read(0.928571, percent=14e-4, counts=2, digit=1e-6, full=1.0)


def test_half_width_of_the_gum_voltmeter() -> None:
    """2.1  a = 15.0 µV (MEMORY)."""
    assert gum_voltmeter().half_width == pytest.approx(15.0e-6, abs=0.05e-6)


def test_standard_uncertainty_of_the_gum_voltmeter() -> None:
    """2.2  u = 8.66 µV, printed 8.7; u² = 75e-12 V² (MEMORY)."""
    assert gum_voltmeter().u == pytest.approx(8.66e-6, abs=0.005e-6)
    assert gum_voltmeter().u ** 2 == pytest.approx(75e-12, abs=0.5e-12)
    assert f"{gum_voltmeter().u * 1e6:.1f}" == "8.7"


def test_combined_with_the_spread_of_the_mean() -> None:
    """2.3  JCGM 100, 5.1.5: 12 µV with 8.66 µV is 14.80 µV, printed 15 (MEMORY)."""
    combined = hypot(12e-6, gum_voltmeter().u)
    outside = ufloat(0.928571, 12e-6) + ufloat(0.0, gum_voltmeter().u)
    assert combined == pytest.approx(14.80e-6, abs=0.005e-6)
    assert combined == pytest.approx(outside.std_dev, rel=1e-12)


def test_a_handbook_bound_is_a_rectangle() -> None:
    """2.4  JCGM 100, 4.3.7 example 1: ±0.40e-6 /°C -> 0.2309e-6 (MEMORY)."""
    found = read(0.0, percent=0.0, counts=1, digit=0.40e-6)
    assert found.u == pytest.approx(0.2309e-6, abs=0.00005e-6)
    assert found.u**2 == pytest.approx(53.3e-15, abs=0.05e-15)


def test_hand_held_multimeter_at_100_volts() -> None:
    """2.6, 2.8, 2.9  EA-4/02, S9: budget READ2, where its parts come from MEMORY."""
    resolution = read(100.0, percent=0.0, counts=0.5, digit=0.1).u
    calibrator = read(100.0, percent=0.01, counts=1, digit=0.001).u
    assert resolution == pytest.approx(0.0288675, abs=5e-8)
    assert calibrator == pytest.approx(0.00635085, abs=5e-9)
    combined = sqrt(0.001**2 + resolution**2 + calibrator**2)
    assert combined == pytest.approx(0.030, abs=5e-4)
    assert sqrt(0.001**2 + 0.029**2 + 0.0064**2) == pytest.approx(0.02971, abs=5e-6)


def test_expanded_uncertainty_of_a_dominant_rectangle() -> None:
    """2.7, 2.10  EA-4/02, S9: k = 1.65 and U = 0.05 V READ2; k = 0.95·√3."""
    found = read(100.0, percent=0.0, counts=0.5, digit=0.1)
    exact_k = 0.95 * found.half_width / found.u
    assert exact_k == pytest.approx(1.645448, abs=5e-7)
    assert round(1.65 * 0.030, 2) == 0.05
    assert round(exact_k * 0.030, 2) == 0.05


def test_budget_of_a_standard_resistor() -> None:
    """2.11  EA-4/02, S3 (READ2): √Σ = 8.366 mΩ, printed 8.33; U 17 mΩ; ±1 %.

    Independent errors add as ours do: as the variances of rectangles.
    """
    parts = (2.50, 5.80, 1.60, 3.20, 4.10, 0.70)
    bounds = [sqrt(3) * part * 1e-3 for part in parts]
    each = [read(1e4, percent=0.0, counts=1, digit=a, full=1e5).u for a in bounds]
    combined = hypot(*each)
    assert combined == pytest.approx(8.366e-3, abs=5e-7)
    assert combined == pytest.approx(8.33e-3, rel=0.01)
    assert round(2 * combined * 1e3) == 17


@pytest.mark.parametrize(("digit", "u"), [(0.001, 0.000288675), (0.01, 0.00288675)])
def test_resolution_alone(digit: float, u: float) -> None:
    """2.16  JCGM 100, F.2.2.1: half a digit either way is δx/√12 (MEMORY)."""
    assert read(1.0, percent=0.0, counts=0.5, digit=digit).u == pytest.approx(
        u, rel=1e-5
    )


def test_makers_limits_of_a_pocket_meter() -> None:
    """2.17  a maker's example in a distributor's note (READ2).

    ±(0.08 % of reading + 2 digits) at 2.000 V on 1 mV: 1.9964 to 2.0036 V.
    """
    a = read(2.000, percent=0.08, counts=2, digit=0.001, full=5.0).half_width
    assert a == pytest.approx(0.0036, abs=1e-12)
    assert (2.0 - a, 2.0 + a) == pytest.approx((1.9964, 2.0036))


@pytest.mark.parametrize(
    ("reading", "percent", "counts", "digit", "a", "u", "expanded"),
    [
        (3.300, 0.5, 2, 0.001, 0.018500, 0.010681, 0.021362),  # 2.18
        (12.05, 0.5, 3, 0.01, 0.090250, 0.052106, 0.104212),  # 2.19
        (1.205, 0.09, 2, 0.001, 0.0030845, 0.001781, 0.003562),  # 2.20
        (19.50, 0.025, 2, 0.01, 0.024875, 0.014362, 0.028723),  # 2.21
    ],
)
def test_usual_forms_of_a_specification(
    reading: float,
    percent: float,
    counts: float,
    digit: float,
    a: float,
    u: float,
    expanded: float,
) -> None:
    """Arithmetic of JCGM 100, 4.3.7, recomputed."""
    found = read(reading, percent, counts, digit)
    assert found.half_width == pytest.approx(a, abs=5e-8)
    assert found.half_width == half_width(reading, percent, counts, digit)
    assert found.u == pytest.approx(u, abs=5e-7)
    assert 2 * found.u == pytest.approx(expanded, abs=5e-7)
