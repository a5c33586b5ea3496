"""A time in calendar months and a few spans, in any zone."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from shop.office.spans import MOST, months_of, spans_of

ZONES = ["UTC", "Europe/Dublin", "Pacific/Auckland", "America/St_Johns"]
MOMENTS = st.integers(0, 3652 * 24 * 60).map(
    lambda minutes: datetime(2020, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes)
)


def test_a_year_to_a_day_in_november() -> None:
    """Thirteen months are begun: five spans of three, the first of one."""
    until = datetime(2026, 11, 26, 12, tzinfo=UTC)
    found = spans_of(until - timedelta(days=365), until, ZoneInfo("UTC"))
    assert [one.since.month for one in found] == [11, 12, 3, 6, 9]


@given(MOMENTS, st.integers(0, 900), st.sampled_from(ZONES))
def test_they_follow_one_another_without_a_gap(
    since: datetime, days: int, name: str
) -> None:
    until, zone = since + timedelta(days=days), ZoneInfo(name)
    for found in (months_of(since, until, zone), spans_of(since, until, zone)):
        if days == 0:
            assert found == []
            continue
        assert (found[0].since, found[-1].until) == (since, until)
        for one, following in pairwise(found):
            assert one.until == following.since
            local = following.since.astimezone(zone)
            assert (local.day, local.hour, local.minute) == (1, 0, 0)
    assert len(spans_of(since, until, zone)) <= MOST
