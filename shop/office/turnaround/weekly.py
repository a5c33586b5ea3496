"""Week by week, between the limits within which weeks differ by chance."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import dropwhile

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shop.office.asked import Asked
from shop.office.drawings import Control, Dot
from shop.office.figures import FEWEST
from shop.office.sections import Column, Kind, Section, Table
from shop.office.turnaround import words
from shop.office.turnaround.control import FEWEST_WEEKS, Limits, limits
from shop.office.turnaround.queries import Stays
from shop.office.turnaround.split import seconds
from shop.office.turnaround.weeks import weeks
from shop.people.models import Shop
from shop.shown import date_format


@dataclass(frozen=True)
class Week:
    """``mean`` is in days; it ``counts`` when whole and of three tickets or more."""

    day: date
    closed: int
    mean: float | None
    counts: bool


def section(shop: Shop, asked: Asked, stays: Stays) -> Section:
    found = weeks_of(shop, asked, stays)
    between = limits([w.mean for w in found if w.counts and w.mean is not None])
    outside = [week for week in found if _is_out(week, between)]
    return Section(
        code="weeks",
        title=_("Week by week"),
        unit=_("mean days of the tickets closed in a week"),
        says=_says(found, between, len(outside)),
        means=_(
            "Weeks with three closed tickets or more, warranty returns apart; the"
            " limits are the mean and 2.66 mean moving ranges to both sides. Weeks"
            " begin on Monday, in the time zone in force today (%(zone)s)."
        )
        % {"zone": shop.time_zone},
        table=_table(found, between),
        drawing=_drawing(found, between),
    )


def weeks_of(shop: Shop, asked: Asked, stays: Stays) -> list[Week]:
    """From the first on in which anything was closed."""
    usual = stays.is_handed_over & ~stays.is_warranty
    closed, took = stays.closed[usual], stays.took[usual]
    found = []
    for one in weeks(asked.since, min(asked.until, asked.now), shop.zone):
        inside = (seconds(one.start) <= closed) & (closed < seconds(one.end))
        n = int(inside.sum())
        mean = float(took[inside].mean()) if n else None
        found.append(Week(one.day, n, mean, one.is_whole and n >= FEWEST))
    return list(dropwhile(lambda week: not week.closed, found))


def _is_out(week: Week, between: Limits | None) -> bool:
    if between is None or week.mean is None or not week.counts:
        return False
    return not between.has(week.mean)


def _says(found: Sequence[Week], between: Limits | None, outside: int) -> str:
    counted = sum(week.counts for week in found)
    if between is None:
        return _(
            "Too few yet: %(n)d of %(fewest)d weeks with three closed tickets or more."
        ) % {"n": counted, "fewest": FEWEST_WEEKS}
    said = _(
        "A week’s mean lies between %(low)s and %(high)s days by chance alone, around"
        " %(centre)s (%(n)d weeks)."
    ) % {
        "low": words.days(max(between.low, 0.0)),
        "high": words.days(between.high),
        "centre": words.days(between.centre),
        "n": counted,
    }
    return f"{said} {_out(outside)}"


def _out(outside: int) -> str:
    if not outside:
        return _("No week lay outside: nothing says that it has changed.")
    return ngettext(
        "%(n)d week lay outside: look for what was different then.",
        "%(n)d weeks lay outside: look for what was different then.",
        outside,
    ) % {"n": outside}


def _drawing(found: Sequence[Week], between: Limits | None) -> Control:
    dots = [
        Dot(
            date_format(week.day, "j M"),
            week.mean,
            week.closed,
            hollow=not week.counts,
            out=_is_out(week, between),
        )
        for week in found
    ]
    if between is None:
        return Control(dots, _("days"), None, None, None)
    low = max(between.low, 0.0)
    return Control(dots, _("days"), between.centre, low, between.high)


def _table(found: Sequence[Week], between: Limits | None) -> Table:
    return Table(
        [
            Column("week_from", _("Week from"), Kind.DATE),
            words.count_column("closed", _("Closed")),
            words.days_column("mean", _("Mean")),
            Column("counts", _("Counts for the limits"), Kind.TEXT),
            Column("outside", _("Outside"), Kind.TEXT),
        ],
        [
            [
                week.day,
                week.closed,
                week.mean,
                _("yes") if week.counts else _("no"),
                _("yes") if _is_out(week, between) else _("no"),
            ]
            for week in found
        ],
    )
