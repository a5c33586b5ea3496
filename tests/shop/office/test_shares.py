"""So many of so many: nothing is said of fewer than three."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.office.shares import Counted


@st.composite
def counted(draw: st.DrawFn) -> Counted:
    n = draw(st.integers(0, 400))
    return Counted(draw(st.integers(0, n)), n)


@given(counted())
def test_the_share_lies_in_its_interval(one: Counted) -> None:
    if one.is_few:
        assert one.percent is one.low is one.high is None
        return
    low, high = one.interval
    assert 0 <= low <= one.share <= high <= 1
    assert one.low is not None
    assert one.percent is not None
    assert one.high is not None
    assert one.low <= one.percent <= one.high


@given(counted(), counted())
def test_counts_add_up(one: Counted, other: Counted) -> None:
    both = one + other
    assert (both.k, both.n) == (one.k + other.k, one.n + other.n)


@pytest.mark.parametrize(("k", "n"), [(1, 0), (-1, 3), (4, 3)])
def test_more_than_all_is_a_mistake(k: int, n: int) -> None:
    with pytest.raises(ValueError, match="of"):
        Counted(k, n)
