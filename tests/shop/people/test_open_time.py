"""A clock that runs while the shop is open, beside the plain count of its minutes."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.people.hours import Hours, Span, open_minutes
from shop.people.open_time import OpenTime

pytestmark = pytest.mark.one_database

BERLIN = ZoneInfo("Europe/Berlin")
WEEK = {day: (Span(time(9), time(12)), Span(time(14), time(18))) for day in range(5)}
NIGHT = {day: (Span(time(0), time(6)),) for day in range(7)}
FIRST, LAST = date(2026, 3, 1), date(2026, 4, 30)
moments = st.integers(0, 59 * 24 * 60).map(
    lambda n: datetime(2026, 3, 1, 12, tzinfo=UTC) + timedelta(minutes=n)
)


@given(moments, moments, st.sampled_from([WEEK, NIGHT]))
def test_it_counts_what_the_hours_count(
    one: datetime, two: datetime, week: dict[int, tuple[Span, ...]]
) -> None:
    """Over the night of 29 March too, which has an hour less."""
    hours = Hours(BERLIN, week, frozenset({date(2026, 4, 3)}))
    clock = OpenTime(hours, FIRST, LAST)
    since, until = sorted((one, two))
    assert clock.between(since, until) == timedelta(
        minutes=open_minutes(hours, since, until)
    )


@given(moments, st.integers(1, 100))
def test_after_undoes_between(since: datetime, hours: int) -> None:
    clock = OpenTime(Hours(BERLIN, WEEK), FIRST, LAST + timedelta(days=60))
    at = clock.after(since, timedelta(hours=hours))
    assert at is not None
    assert clock.between(since, at) == timedelta(hours=hours)


def test_the_shorter_night_takes_longer() -> None:
    """Six hours from Saturday midnight end an hour into the next night's opening."""
    clock = OpenTime(Hours(BERLIN, NIGHT), FIRST, LAST)
    midnight = datetime(2026, 3, 29, tzinfo=BERLIN)
    at = clock.after(midnight, timedelta(hours=6))
    assert at == datetime(2026, 3, 30, 1, tzinfo=BERLIN)
    assert clock.after(midnight, timedelta(days=300)) is None
