"""Which week is spoken of, by the wall clock of the shop. PURE."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

READY_AT = timedelta(hours=6)  # on Monday morning
WEEK = timedelta(days=7)


@dataclass(frozen=True)
class Week:
    """From Monday to Sunday."""

    monday: date

    @property
    def sunday(self) -> date:
        return self.monday + timedelta(days=6)

    def start(self, zone: ZoneInfo) -> datetime:
        return datetime.combine(self.monday, time(), zone)

    def end(self, zone: ZoneInfo) -> datetime:
        """The moment at which the next one begins."""
        return datetime.combine(self.monday + WEEK, time(), zone)


def week_of(day: date) -> Week:
    """
    >>> week_of(date(2026, 11, 26)).monday.isoformat()
    '2026-11-23'
    """
    return Week(day - timedelta(days=day.weekday()))


def week_due(now: datetime, zone: ZoneInfo) -> Week:
    """The newest week whose sheet should be there: the last before Monday at six."""
    by_the_wall = now.astimezone(zone).replace(tzinfo=None) - READY_AT
    return Week(week_of(by_the_wall.date()).monday - WEEK)
