"""Ticks by nice numbers; the example is that of Heckbert's article.

Paul S. Heckbert, "Nice Numbers for Graph Labels", Graphics Gems (1990), 61-63: data
from 105 to 543 are labelled from 100 to 600 by 100 (quoted from memory).
"""

from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from shop.office.drawing.scales import Scale, inner_ticks, nice, ticks

values = st.floats(-1e6, 1e6, allow_nan=False)


def test_the_articles_example() -> None:
    assert ticks(105, 543) == [100, 200, 300, 400, 500, 600]


@pytest.mark.parametrize(
    ("value", "nearest", "expected"),
    [
        *((1.4, True, 1), (1.5, True, 2), (3, True, 5), (7, True, 10)),
        *((1, False, 1), (1.1, False, 2), (2.1, False, 5), (5.1, False, 10)),
        *((43.8, True, 50), (438, False, 500)),
    ],
)
def test_round_numbers(value: float, nearest: bool, expected: float) -> None:
    assert nice(value, nearest=nearest) == pytest.approx(expected)


@given(values, values, st.integers(3, 8))
def test_ticks_enclose_and_are_evenly_round(
    one: float, other: float, most: int
) -> None:
    low, high = sorted((one, other))
    assume(high - low > 1e-3)
    marks = ticks(low, high, most)
    apart = marks[1] - marks[0]
    slack = 1e-6 * apart
    assert marks[0] <= low + slack
    assert high <= marks[-1] + slack
    assert len(marks) <= 2 * most + 1
    assert all(b - a == pytest.approx(apart, rel=1e-6) for a, b in pairwise(marks))
    assert f"{apart:e}"[0] in "1259"  # 9.99… is a 10


def test_equal_ends_still_have_a_scale() -> None:
    assert ticks(0, 0) == [0.0, 0.2, 0.4, 0.6, 0.8, 1.0]


def test_inner_ticks_stay_inside() -> None:
    assert inner_ticks(40, 100) == [40, 60, 80, 100]
    assert inner_ticks(45, 95) == [50, 60, 70, 80, 90]


@given(values, values, values)
def test_a_scale_never_leaves_its_ends(low: float, high: float, value: float) -> None:
    place = Scale(low, high, 10, 200).at(value)
    assert 10 <= place <= 200


def test_a_scale_is_straight() -> None:
    scale = Scale(0, 100, 200, 0)
    assert [scale.at(value) for value in (0, 25, 100)] == [200, 150, 0]
