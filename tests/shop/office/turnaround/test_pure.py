"""The pure parts: time split, weeks, limits, ages, and how steps are thinned."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.intake.turn import Piece, Whose
from shop.office.turnaround.ageing import aged
from shop.office.turnaround.control import FEWEST_WEEKS, limits
from shop.office.turnaround.flow import Flow, mean_open
from shop.office.turnaround.split import PLACES, parts_of, seconds, shown_tenths
from shop.office.turnaround.survival import MOST_STEPS, survival
from shop.office.turnaround.weeks import Stretch, months, weeks

pytestmark = pytest.mark.one_database

ZONES = ["Europe/Dublin", "America/St_Johns", "Australia/Lord_Howe", "UTC"]
MOMENTS = st.datetimes(
    datetime(2020, 1, 1),  # noqa: DTZ001  the zone is given beside it
    datetime(2030, 1, 1),  # noqa: DTZ001
    timezones=st.just(UTC),
)
DAY = timedelta(days=1)


@given(
    MOMENTS,
    st.lists(
        st.tuples(
            st.sampled_from(list(PLACES)),
            st.timedeltas(timedelta(microseconds=1), timedelta(days=40)),
        ),
        min_size=1,
        max_size=20,
    ),
)
def test_the_parts_are_the_whole_to_the_second(
    start: datetime, spent: list[tuple[tuple[Whose, str], timedelta]]
) -> None:
    pieces, at = [], start
    for (whose, part), span in spent:
        pieces.append(Piece(whose, part, at, at + span))
        at += span
    assert sum(parts_of(pieces)) == seconds(at) - seconds(start)


@given(st.lists(st.floats(0, 400), min_size=1, max_size=6))
def test_what_is_shown_adds_up(days: list[float]) -> None:
    shown = shown_tenths(days)
    assert sum(shown) == pytest.approx(round(10 * sum(days)) / 10)
    assert all(abs(a - b) <= 0.1 + 1e-9 for a, b in zip(shown, days, strict=True))


@given(MOMENTS, st.integers(0, 800), st.sampled_from(ZONES), st.sampled_from([0, 1, 3]))
def test_stretches_fill_the_period(
    since: datetime, length: int, name: str, several: int
) -> None:
    until, zone = since + length * DAY, ZoneInfo(name)
    found = (
        months(since, until, zone, several) if several else weeks(since, until, zone)
    )
    assert_filled(found, since, until)
    for one in found:
        local = one.start.astimezone(zone)
        if one.start > since:
            assert (local.hour, local.minute) == (0, 0)
            assert local.date() == one.day
        assert one.day.weekday() == 0 if not several else one.day.day == 1


def assert_filled(found: Sequence[Stretch], since: datetime, until: datetime) -> None:
    if since == until:
        assert found == []
        return
    assert found[0].start == since
    assert found[-1].end == until
    assert all(a.end == b.start for a, b in pairwise(found))
    assert all(one.is_whole for one in found[1:-1])


def test_a_week_in_which_the_clock_changes_is_a_week() -> None:
    """Dublin, last Sunday of March 2026: 167 hours."""
    zone = ZoneInfo("Europe/Dublin")
    start = datetime(2026, 3, 23, tzinfo=zone)
    [one] = weeks(start, datetime(2026, 3, 30, tzinfo=zone), zone)
    assert one.is_whole
    assert one.end.astimezone(UTC) - one.start.astimezone(UTC) == timedelta(hours=167)


@given(st.lists(st.floats(0, 100), max_size=40))
def test_limits_stand_from_eight_weeks_on(values: list[float]) -> None:
    found = limits(values)
    if len(values) < FEWEST_WEEKS:
        assert found is None
        return
    assert found is not None
    assert found.low <= found.centre <= found.high
    assert found.centre == pytest.approx(sum(values) / len(values))


def test_a_steady_shop_has_no_width_and_a_leap_lies_outside() -> None:
    steady = limits([4.0] * 12)
    assert steady is not None
    assert (steady.low, steady.high) == (4.0, 4.0)
    leap = [4.0, 4.2] * 6 + [9.0] + [4.0, 4.2] * 6
    between = limits(leap)
    assert between is not None
    assert [value for value in leap if not between.has(value)] == [9.0]


def test_ages_are_full_days_by_turn() -> None:
    """0-3, 4-7, 8-14, 15-30, over 30: the last day of each belongs to it."""
    ends = [0, 3.99, 4, 7.99, 8, 14.99, 15, 30.99, 31]
    told = [(Whose.CUSTOMER, end * DAY) for end in ends]
    assert aged(told)[1] == [2, 2, 2, 2, 1]
    assert [sum(row) for row in aged([*told, (Whose.OURS, -DAY)])] == [1, 9, 0, 0]


def test_how_many_were_open_is_time_over_time() -> None:
    """One all ten days, one for five, one that begins when it is over."""
    opened, closed = np.array([-5, 2, 10]), np.array([99, 7, 20])
    assert mean_open(opened, closed, 0, 10) == pytest.approx(1.5)


@pytest.mark.parametrize(
    ("open_mean", "said"), [(10, "agrees"), (12.1, "more"), (7.9, "fewer")]
)
def test_the_law_is_met_within_a_fifth(open_mean: float, said: str) -> None:
    assert Flow(open_mean, rate=2, stay=5).says == said


@given(st.lists(st.floats(0.1, 90), min_size=1, max_size=200))
def test_without_open_tickets_the_curve_is_the_plain_fraction(
    days: list[float],
) -> None:
    found = survival(np.array(days), np.ones(len(days), np.bool_))
    for at, left in zip(found.at, found.left, strict=True):
        assert left == pytest.approx(sum(day > at for day in days) / len(days))
    assert found.within(0.5) == sorted(days)[(len(days) + 1) // 2 - 1]


def test_nothing_that_came_to_pass_has_no_curve() -> None:
    found = survival(np.array([3.0, 5.0]), np.zeros(2, np.bool_))
    assert (found.n, found.done, found.steps()) == (2, 0, [])
    assert found.within(0.5) is None
    assert found.interval(0.5) == (None, None)


@given(st.integers(1, 900))
def test_a_picture_has_few_steps_and_all_of_them_are_true(n: int) -> None:
    days = np.arange(1.0, n + 1)
    found = survival(days, np.ones(n, np.bool_))
    steps = found.steps()
    assert len(steps) <= MOST_STEPS + 2
    assert steps[-1][:2] == pytest.approx((n, 1.0))
    every = dict(zip(found.at.tolist(), (1 - found.left).tolist(), strict=True))
    assert all(every[at] == share for at, share, _low, _high in steps)
    assert all(b[1] - a[1] <= 2 / MOST_STEPS + 1 / n for a, b in pairwise(steps))
