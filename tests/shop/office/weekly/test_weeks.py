"""Which week is due; the clock is the shop's, also where it is put forward."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.office.weekly.weeks import Week, week_due, week_of

AUCKLAND, DUBLIN = ZoneInfo("Pacific/Auckland"), ZoneInfo("Europe/Dublin")


@given(st.dates(date(1990, 1, 1), date(2100, 1, 1)))
def test_a_week_is_that_of_the_standard(day: date) -> None:
    """ISO 8601: weeks begin on Monday; ``date.isocalendar`` is Python's own."""
    week = week_of(day)
    assert week.monday.isocalendar()[:2] == day.isocalendar()[:2]
    assert week.monday.isocalendar()[2] == 1
    assert week.sunday.isocalendar()[2] == 7


@pytest.mark.parametrize(
    ("now", "zone", "monday"),
    [
        # Monday at six by the shop's wall clock, and a minute before.
        (datetime(2026, 11, 23, 6, 0, tzinfo=UTC), DUBLIN, "2026-11-16"),
        (datetime(2026, 11, 23, 5, 59, tzinfo=UTC), DUBLIN, "2026-11-09"),
        (datetime(2026, 11, 22, 17, 0, tzinfo=UTC), AUCKLAND, "2026-11-16"),
        (datetime(2026, 11, 22, 16, 59, tzinfo=UTC), AUCKLAND, "2026-11-09"),
        # Later in the week it is still that one.
        (datetime(2026, 11, 29, 23, 0, tzinfo=UTC), DUBLIN, "2026-11-16"),
        # Summer time began on the Sunday before.
        (datetime(2026, 3, 30, 5, 0, tzinfo=UTC), DUBLIN, "2026-03-23"),
        (datetime(2026, 3, 30, 4, 59, tzinfo=UTC), DUBLIN, "2026-03-16"),
    ],
)
def test_the_week_due(now: datetime, zone: ZoneInfo, monday: str) -> None:
    assert week_due(now, zone).monday.isoformat() == monday


def test_a_week_with_a_change_of_clock_has_its_own_length() -> None:
    week = Week(date(2026, 3, 23))
    length = week.end(DUBLIN).astimezone(UTC) - week.start(DUBLIN).astimezone(UTC)
    assert length == timedelta(days=7, hours=-1)
