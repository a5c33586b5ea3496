"""Minutes of checks against the walk: by hand on the family's data, and laws."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics import bridge
from shop.office.quality.saved import Spent, mean_of, minutes_of, walk_minutes

BOARD = bridge.engine_board("laptop_barrel", {})
POINTS = sorted(BOARD.points)


def test_points_share_their_check() -> None:
    check = next(
        one for one in BOARD.checks.values() if len(BOARD.fitted_points(one.id)) > 2
    )
    fitted = BOARD.fitted_points(check.id)
    one = minutes_of(BOARD, {fitted[0].id})
    assert one == pytest.approx(check.minutes / len(fitted))
    every = minutes_of(BOARD, {point.id for point in fitted})
    assert every == pytest.approx(check.minutes)


def test_the_whole_walk_is_every_check_that_nobody_must_ask_for() -> None:
    walked = {
        point.id
        for stage in BOARD.family.stages
        for check in BOARD.walk(stage.id)
        for point in BOARD.fitted_points(check.id)
        if not check.is_on_request
    }
    assert walk_minutes(BOARD) == pytest.approx(minutes_of(BOARD, walked))


def test_a_point_that_the_family_does_not_know_costs_nothing() -> None:
    assert minutes_of(BOARD, {"k99/nowhere"}) == 0


@given(st.sets(st.sampled_from(POINTS)), st.sets(st.sampled_from(POINTS)))
def test_more_points_never_take_less(one: set[str], other: set[str]) -> None:
    assert minutes_of(BOARD, one | other) >= minutes_of(BOARD, one) - 1e-9


SPENT = st.builds(Spent, st.floats(0, 500), st.floats(0, 500))


@given(st.lists(SPENT, max_size=9))
def test_under_three_repairs_no_mean_is_given(each: list[Spent]) -> None:
    found = mean_of(each)
    assert (found is None) == (len(each) < 3)
    if found:
        assert found.saved == pytest.approx(sum(one.saved for one in each) / len(each))
