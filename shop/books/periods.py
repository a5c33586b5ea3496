"""A period of whole days in the shop's calendar."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _

from shop.people.models import Shop
from shop.records.errors import Refused

DAY = timedelta(days=1)
LONGEST = timedelta(days=3660)


@dataclass(frozen=True)
class Period:
    """From the first to the last day, both whole."""

    shop: Shop
    first: date
    last: date

    @property
    def start(self) -> datetime:
        return self.shop.day_begins(self.first)

    @property
    def end(self) -> datetime:
        """The moment at which the day after begins."""
        return self.shop.day_begins(self.last + DAY)

    def __str__(self) -> str:
        return f"{self.first}_{self.last}"


def period_of(shop: Shop, first: date, last: date, today: date) -> Period:
    """Refused where it is turned round, or reaches beyond today."""
    if last < first:
        raise Refused(_("The last day is before the first."), field="last")
    if last > today:
        raise Refused(_("The last day has not come yet."), field="last")
    if last - first > LONGEST:
        raise Refused(_("At most ten years at once."), field="last")
    return Period(shop, first, last)


def month_before(today: date) -> tuple[date, date]:
    """The last whole month: what is mostly asked for."""
    last = today.replace(day=1) - DAY
    return last.replace(day=1), last
