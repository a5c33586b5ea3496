"""Power past a gate that had not passed, week by week."""

from collections import Counter
from collections.abc import Sequence
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _

from diagnostics import queries as bench
from diagnostics.models import GateOverride
from shop.office.asked import Asked
from shop.office.drawings import Control, Dot
from shop.office.figures import FEWEST
from shop.office.quality.poisson import garwood
from shop.office.sections import Column, Kind, Section, Table
from shop.people.models import Shop
from shop.shown import date_format, figures

WEEK = timedelta(days=7)
MOMENT = timedelta(microseconds=1)
Acts = Sequence[tuple[datetime, str]]


def weeks_of(shop: Shop, asked: Asked) -> list[date]:
    """The Mondays of the whole and begun weeks of a time."""
    first, last = (
        one.astimezone(shop.zone).date() for one in (asked.since, asked.until - MOMENT)
    )
    monday = first - timedelta(days=first.weekday())
    return [monday + n * WEEK for n in range((last - monday).days // 7 + 1)]


def section(shop: Shop, asked: Asked) -> Section:
    acts = bench.overrides_of(shop, asked.since, asked.until)
    weeks = weeks_of(shop, asked)
    every = Counter(_monday(shop, at) for at, _chip in acts)
    limited = Counter(
        _monday(shop, at)
        for at, chip in acts
        if chip == GateOverride.Chip.LIMITED_POWER
    )
    return Section(
        code="overrides",
        title=_("Gates overruled"),
        unit=_("times a week"),
        says=_said(acts, weeks, max(every.values(), default=0)),
        means=_(
            "How often power was applied past a gate that had not passed, with a name "
            "and a reason; limited power is that with a bench supply and its current "
            "limit set. The interval is the exact one of a Poisson count, at 95 %."
        ),
        table=Table(
            [
                Column("week", _("Week from"), Kind.DATE),
                Column("overrides", _("Overruled"), Kind.COUNT),
                Column("limited", _("Of them with limited power"), Kind.COUNT),
            ],
            [[week, every[week], limited[week]] for week in weeks],
        ),
        drawing=_drawing(every, weeks) if acts else None,
    )


def _monday(shop: Shop, at: datetime) -> date:
    day = at.astimezone(shop.zone).date()
    return day - timedelta(days=day.weekday())


def _said(acts: Acts, weeks: Sequence[date], most: int) -> str:
    if not acts:
        return _("No gate was overruled in this time.")
    if len(weeks) < FEWEST:
        return _("Too few yet: fewer than three weeks.")
    chips = Counter(chip for _at, chip in acts)
    low, high = (figures(f"{one / len(weeks):.1f}") for one in garwood(len(acts)))
    values = {
        "n": len(acts),
        "weeks": len(weeks),
        "limited": chips[GateOverride.Chip.LIMITED_POWER],
        "most": most,
        "low": low,
        "high": high,
    }
    said = _(
        "Gates overruled: %(n)s in %(weeks)s weeks, %(limited)s of them with limited "
        "power; the most in one week %(most)s (95 %% sure of the mean: %(low)s to "
        "%(high)s a week)."
    )
    return said % values


def _drawing(every: Counter[date], weeks: Sequence[date]) -> Control | None:
    """Counts alone: a shop overrules too seldom for limits."""
    if len(weeks) < FEWEST:
        return None
    dots = [
        Dot(date_format(week, "j M"), float(every[week]), every[week]) for week in weeks
    ]
    centre = sum(every.values()) / len(weeks)
    return Control(dots, _("times"), centre, None, None)
