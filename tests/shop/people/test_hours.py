"""When the shop is open: by hand, and whole days against numpy's business days."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.people.hours import (
    Hours,
    Span,
    add_working_days,
    end_of_working_day,
    is_open,
    next_opening,
    open_minutes,
)

BERLIN = ZoneInfo("Europe/Berlin")
WEEK = {day: (Span(time(9), time(17)),) for day in range(5)}
SPLIT = {day: (Span(time(14), time(18)), Span(time(9), time(12))) for day in range(5)}
NIGHT = {day: (Span(time(0), time(6)),) for day in range(7)}
ALL_DAY = {day: (Span(time(0), time(0)),) for day in range(7)}
CLOSED = frozenset({date(2026, 12, 24), date(2026, 12, 25)})
days = st.dates(date(2020, 1, 1), date(2030, 12, 31))


def berlin(day: int, hour: int, minute: int = 0, month: int = 3) -> datetime:
    return datetime(2026, month, day, hour, minute, tzinfo=BERLIN)


@given(days, st.integers(1, 40), st.frozensets(days, max_size=20))
def test_working_days_are_numpys_business_days(
    day: date, count: int, closed: frozenset[date]
) -> None:
    """numpy.busday_offset, rolling a closed start back, counts the same days."""
    ours = add_working_days(Hours(UTC, WEEK, closed), day, count)
    theirs = np.busday_offset(day, count, roll="backward", holidays=sorted(closed))
    assert ours == theirs.astype(date)


@given(days, st.integers(0, 60), st.frozensets(days, max_size=20))
def test_minutes_of_whole_days_are_numpys_business_days(
    day: date, count: int, closed: frozenset[date]
) -> None:
    """numpy.busday_count times the eight hours of a day."""
    start = datetime.combine(day, time(), UTC)
    minutes = open_minutes(Hours(UTC, WEEK, closed), start, start + timedelta(count))
    whole = np.busday_count(day, day + timedelta(count), holidays=sorted(closed))
    assert minutes == int(whole) * 8 * 60


@pytest.mark.parametrize(
    ("since", "until", "minutes"),
    [
        (berlin(2, 16), berlin(3, 10), 120),  # Monday to Tuesday
        (berlin(6, 16, 30), berlin(9, 9, 15), 45),  # over a weekend
        (berlin(7, 8), berlin(8, 20), 0),  # a weekend
        (berlin(2, 10), berlin(2, 10), 0),
        (berlin(3, 10), berlin(2, 10), 0),  # backwards
        (berlin(23, 9, month=12), berlin(28, 9, month=12), 8 * 60),  # closed days
    ],
)
def test_open_minutes_by_hand(since: datetime, until: datetime, minutes: int) -> None:
    assert open_minutes(Hours(BERLIN, WEEK, CLOSED), since, until) == minutes


def test_the_nights_of_summer_time_are_an_hour_short_and_an_hour_long() -> None:
    """In Germany clocks went from 2 to 3 on 29 March 2026, and back on 25 October."""
    hours = Hours(BERLIN, NIGHT)
    assert open_minutes(hours, berlin(29, 0), berlin(29, 12)) == 5 * 60
    assert open_minutes(hours, berlin(25, 0, month=10), berlin(25, 12, month=10)) == 420
    assert open_minutes(hours, berlin(28, 0), berlin(28, 12)) == 6 * 60


def test_midnight_closes_the_day() -> None:
    hours = Hours(BERLIN, ALL_DAY)
    assert open_minutes(hours, berlin(2, 0), berlin(4, 0)) == 2 * 24 * 60
    assert is_open(hours, berlin(2, 23, 59))


def test_the_next_opening_skips_nights_weekends_and_closed_days() -> None:
    hours = Hours(BERLIN, SPLIT, CLOSED)
    assert next_opening(hours, berlin(2, 8)) == berlin(2, 9)
    assert next_opening(hours, berlin(2, 9)) == berlin(2, 14)
    assert next_opening(hours, berlin(6, 15)) == berlin(9, 9)
    assert next_opening(hours, berlin(23, 19, month=12)) == berlin(28, 9, month=12)
    assert not is_open(hours, berlin(2, 13))


def test_a_shop_that_never_opens_has_no_next_opening() -> None:
    hours = Hours(BERLIN, {})
    assert next_opening(hours, berlin(2, 8)) is None
    assert add_working_days(hours, date(2026, 3, 2), 1) is None
    assert end_of_working_day(hours, berlin(2, 8), 1) is None


def test_a_first_word_comes_until_the_next_working_day_closes() -> None:
    hours = Hours(BERLIN, SPLIT, CLOSED)
    assert end_of_working_day(hours, berlin(6, 16), 1) == berlin(9, 18)
    assert end_of_working_day(hours, berlin(23, 9, month=12), 2) == berlin(
        29, 18, month=12
    )
