"""Which backups stay: counted out by hand on a calendar."""

from datetime import UTC, datetime, timedelta

from shop.keeping.rotation import to_keep

SUNDAY = datetime(2026, 11, 29, 2, 30, tzinfo=UTC)  # ISO 8601: week 48 ends here


def days_before(*days: int) -> set[datetime]:
    return {SUNDAY - timedelta(days=n) for n in days}


def test_a_year_of_nights_leaves_seven_days_and_five_weeks() -> None:
    every_night = days_before(*range(365))
    # the last seven nights, and the Sundays of weeks 48, 47, 46, 45, 44
    assert to_keep(every_night) == days_before(0, 1, 2, 3, 4, 5, 6, 7, 14, 21, 28)


def test_of_one_day_the_newest_stays() -> None:
    morning, evening = SUNDAY + timedelta(hours=6), SUNDAY + timedelta(hours=15)
    assert to_keep({SUNDAY, morning, evening}) == {evening}


def test_a_shop_that_was_closed_loses_nothing() -> None:
    before_the_holiday = days_before(60, 61, 62)
    assert to_keep(before_the_holiday) == before_the_holiday


def test_the_year_changes_within_a_week() -> None:
    """ISO week 53 of 2026 runs to Sunday, 3 January 2027."""
    nights = {datetime(2026, 12, 28, tzinfo=UTC) + timedelta(days=n) for n in range(9)}
    kept = to_keep(nights)
    assert {one.day for one in kept} == {30, 31, 1, 2, 3, 4, 5}


def test_none_of_none() -> None:
    assert to_keep(set()) == set()
