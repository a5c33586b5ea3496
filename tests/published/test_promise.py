"""The turnaround estimate, held to the leukaemia data as textbooks print them.

Freireich et al., Blood 21 (1963) 699-716, remission in weeks; the survival column as
printed by Kleinbaum & Klein, Survival Analysis, ch. 2 (values from memory), and as
lifelines reckons it.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import CensoredData, ecdf  # type: ignore[import-untyped]

from shop.intake.promise import LEAST_ALIKE, LEAST_OF_ALL, Stay, usual

pytestmark = pytest.mark.one_database

SIX_MP = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+"
PRINTED = {6: 0.857, 7: 0.807, 10: 0.753, 13: 0.690, 16: 0.627, 22: 0.538, 23: 0.448}
PLACEBO = "1 1 2 2 3 4 4 5 5 8 8 8 8 11 11 12 12 15 17 22 23"
PLACEBO_OPEN = {1: 0.9048, 5: 0.5714, 8: 0.3810, 15: 0.1429, 23: 0.0}


def stays(weeks: str, alike: str = "laptop", times: int = 2) -> list[Stay]:
    """The data ``times`` over: the estimate is the same, the tickets are enough."""
    one = [
        Stay(float(week.rstrip("+")), not week.endswith("+"), (alike,))
        for week in weeks.split()
    ]
    return one * times


def test_the_share_still_open_is_as_printed() -> None:
    found = usual(stays(SIX_MP))
    assert found is not None
    open_share = dict(zip(found.hours, found.open_share, strict=True))
    assert open_share == pytest.approx(PRINTED, abs=5e-4)
    assert found.takes(0.5) == 23  # the printed median
    assert found.takes(0.8) is None  # 0.448 is the lowest that was seen


def test_without_censoring_it_is_the_plain_share() -> None:
    found = usual(stays(PLACEBO))
    assert found is not None
    open_share = dict(zip(found.hours, found.open_share, strict=True))
    seen = {at: open_share[at] for at in PLACEBO_OPEN}
    assert seen == pytest.approx(PLACEBO_OPEN, abs=5e-5)
    assert (found.takes(0.5), found.takes(0.8)) == (8, 12)  # 0.3810, 0.1905


def test_what_is_left_goes_by_the_age() -> None:
    """Half of what was open at that age: 0.3810 at 8 weeks, 0.5714 just before."""
    found = usual(stays(PLACEBO))
    assert found is not None
    assert found.takes(0.5, age=8) == 12  # 0.1905
    assert found.takes(0.5, age=7.9) == 11  # 0.2857
    assert found.takes(0.5, age=23) is None


def test_alike_counts_where_enough_were_ready() -> None:
    """21 of the placebo arm are enough of a kind; 9 ready ones of 6-MP are not."""
    both = stays(PLACEBO, "desktop", times=1) + stays(SIX_MP, "laptop", times=1)
    desktop, laptop = usual(both, ["fam", "desktop"]), usual(both, ["laptop"])
    assert desktop is not None
    assert laptop is not None
    assert (desktop.count, desktop.alike) == (21, "desktop")
    assert (laptop.count, laptop.alike) == (30, "")
    assert LEAST_OF_ALL < LEAST_ALIKE <= 21
    assert usual(stays(SIX_MP, times=1)) is None  # 9 ready: fewer than ten


@given(st.lists(st.tuples(st.integers(0, 30), st.booleans()), min_size=1, max_size=60))
def test_it_is_scipys_product_limit(drawn: list[tuple[int, bool]]) -> None:
    ready = [float(at) for at, is_ready in drawn if is_ready] + [1.0] * LEAST_OF_ALL
    censored = [float(at) for at, is_ready in drawn if not is_ready]
    found = usual([Stay(h, True) for h in ready] + [Stay(h, False) for h in censored])
    assert found is not None
    theirs = ecdf(CensoredData(uncensored=ready, right=censored)).sf
    assert found.open_share == pytest.approx(theirs.evaluate(np.array(found.hours)))
