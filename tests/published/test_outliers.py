"""Odd values among few: modified z-scores, with others for contrast (3.7 to 3.15).

READ: read in the source; READ2: read where somebody quotes it; MEMORY: the
attribution is from memory. All numbers were recomputed with scipy.
"""

from math import sqrt
from statistics import NormalDist, fmean, median, stdev

import pytest
from scipy import stats  # type: ignore[import-untyped]

from diagnostics.engine.bands import CONSISTENT, ODD_BEYOND, Band, Good, band_of

# 3.7  NIST/SEMATECH e-Handbook 1.3.5.17.1, after Tietjen & Moore 1972 (READ)
MASS = (199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57)
# 3.11  Iglewicz & Hoaglin 1993, chapter 3 (MEMORY)
MASKED = (2.1, 2.6, 2.4, 2.5, 2.3, 2.1, 2.3, 2.6, 8.2, 8.3)


def band(values: tuple[float, ...]) -> Band:
    """In volts, where the scale is linear as the papers' is."""
    readings = [Good(board, value) for board, value in enumerate(values)]
    found = band_of(readings, "V")
    assert found is not None
    return found


def odd(values: tuple[float, ...]) -> dict[float, float]:
    return {values[one.board]: one.score for one in band(values).odd}


def deviation(values: tuple[float, ...]) -> float:
    middle = median(values)
    return median(abs(value - middle) for value in values)


def test_modified_z_of_the_mass_data() -> None:
    """3.10  median 201.37, MAD 0.995; M(245.57) = 29.963, M(199.31) = -1.396."""
    assert band(MASS).middle == pytest.approx(201.37)
    assert deviation(MASS) == pytest.approx(0.995)
    assert odd(MASS) == {245.57: pytest.approx(29.963, abs=5e-4)}
    lowest = CONSISTENT * (199.31 - 201.37) / 0.995
    assert lowest == pytest.approx(-1.396, abs=5e-4)


def test_grubbs_finds_the_same_one() -> None:
    """3.7, 3.8, 3.9  G 2.4687 over 2.0317 one-sided and 2.1266 two-sided.

    Printed 2.4687 (READ) and 2.0317 (MEMORY).
    """
    assert (fmean(MASS), stdev(MASS)) == pytest.approx((206.43375, 15.852564))
    largest = (max(MASS) - fmean(MASS)) / stdev(MASS)
    assert largest == pytest.approx(2.468765, abs=5e-7)
    assert grubbs(8, 0.05) == pytest.approx(2.031652, abs=5e-7)
    assert grubbs(8, 0.05 / 2) == pytest.approx(2.126645, abs=5e-7)
    assert (largest > grubbs(8, 0.05)) is (245.57 in odd(MASS))


def grubbs(count: int, tail: float) -> float:
    """Critical value, NIST 1.3.5.17.1: (n-1)/√n √(t²/(n-2+t²)), t at tail/n."""
    t = stats.t.ppf(1 - tail / count, count - 2)
    return float((count - 1) / sqrt(count) * sqrt(t**2 / (count - 2 + t**2)))


@pytest.mark.parametrize(
    ("count", "one_sided", "two_sided", "one_per_cent"),
    [
        (3, 1.1531, 1.1543, 1.1546),
        (4, 1.4625, 1.4813, 1.4925),
        (5, 1.6714, 1.7150, 1.7489),
        (6, 1.8221, 1.8871, 1.9442),
        (7, 1.9381, 2.0200, 2.0973),
        (8, 2.0317, 2.1266, 2.2208),
        (9, 2.1096, 2.2150, 2.3231),
        (10, 2.1761, 2.2900, 2.4097),
        (15, 2.4090, 2.5483, 2.7049),
        (20, 2.5566, 2.7082, 2.8838),
    ],
)
def test_where_grubbs_finds_one_odd_board_so_do_we(
    count: int, one_sided: float, two_sided: float, one_per_cent: float
) -> None:
    """The published criticals; and one board so far off that G nears its most.

    n-1 values evenly about 3.3 V and one at 9 V: Grubbs and the modified z agree
    wherever the MAD is not nought.
    """
    found = (grubbs(count, 0.05), grubbs(count, 0.025), grubbs(count, 0.01))
    assert found == pytest.approx((one_sided, two_sided, one_per_cent), abs=5e-5)
    near = [3.3 + 0.01 * (place - (count - 2) / 2) for place in range(count - 1)]
    values = (*near, 9.0)
    g = (9.0 - fmean(values)) / stdev(values)
    assert g > one_sided
    assert list(odd(values)) == [9.0]


def test_two_odd_values_that_hide_each_other_from_the_plain_z() -> None:
    """3.11, 3.12  none of the plain z exceeds 3; the modified ones find both."""
    assert (fmean(MASKED), stdev(MASKED)) == pytest.approx((3.54, 2.4887), abs=5e-5)
    assert (median(MASKED), deviation(MASKED)) == pytest.approx((2.45, 0.15))
    plain = [(value - fmean(MASKED)) / stdev(MASKED) for value in (8.2, 8.3)]
    assert plain == pytest.approx([1.8724, 1.9126], abs=5e-5)
    assert odd(MASKED) == {
        8.2: pytest.approx(25.856, abs=5e-4),
        8.3: pytest.approx(26.306, abs=5.1e-4),
    }
    lowest = CONSISTENT * (2.1 - 2.45) / 0.15
    assert lowest == pytest.approx(-1.574, abs=5e-4)


def test_the_cut_off_is_three_and_a_half() -> None:
    """3.13  Iglewicz & Hoaglin 1993; NIST 1.3.5.17 (READ2): |M| > 3.5."""
    assert ODD_BEYOND == 3.5
    base = (-2.0, -1.0, -1.0, 0.0, 1.0, 1.0, 2.0)
    for last, is_odd in ((3.5 / 0.6745 * 0.999, False), (3.5 / 0.6745 * 1.001, True)):
        values = (*base, last, -last)
        assert deviation(values) == 1.0
        assert (last in odd(values)) is is_odd


def test_consistency_constants() -> None:
    """3.14  the 0.6745 is the normal's third quartile; its inverse is 1.4826."""
    quartile = NormalDist().inv_cdf(0.75)
    assert quartile == pytest.approx(0.67448975, abs=5e-9)
    assert 1 / quartile == pytest.approx(1.48260222, abs=5e-9)
    assert round(quartile, 4) == CONSISTENT
    ours = stats.median_abs_deviation(MASS, scale="normal") * quartile
    assert deviation(MASS) == pytest.approx(ours)


def test_without_a_deviation_there_is_no_score_and_we_say_so() -> None:
    """3.15  more than half the values equal: undefined, said and not divided."""
    values = (3.30, 3.30, 3.30, 3.31, 9.9)
    assert deviation(values) == 0
    assert band(values).spread_is_nought
    assert odd(values) == {}
