"""The shop's week and its closed days, from their rows."""

from collections import defaultdict
from datetime import date, datetime, time, timedelta

from django.utils.dateformat import time_format
from django.utils.dates import WEEKDAYS_ABBR
from django.utils.translation import gettext as _

from shop.people import queries
from shop.people.hours import Hours, Span, end_of_working_day
from shop.people.models import Shop, Terms

LONGEST_CLOSED = 366


def hours_of(shop: Shop) -> Hours:
    week = defaultdict[int, tuple[Span, ...]](tuple)
    for row in shop.opening_hours.all():
        week[row.weekday] += (Span(row.opens, row.closes),)
    return Hours(shop.zone, dict(week), _closed(shop))


def _closed(shop: Shop) -> frozenset[date]:
    return frozenset(
        row.first + timedelta(days=n)
        for row in shop.closed_days.all()
        for n in range(min((row.last - row.first).days, LONGEST_CLOSED) + 1)
    )


def week_said(shop: Shop) -> list[str]:
    """The week in as few lines as it takes: ``Mon to Fri 9:00 to 17:00``."""
    day_of = defaultdict[str, list[int]](list)
    week = hours_of(shop).week
    for weekday in sorted(week):
        spans = ", ".join(
            _("%(opens)s to %(closes)s")
            % {"opens": _clock(span.opens), "closes": _clock(span.closes)}
            for span in week[weekday]
        )
        day_of[spans].append(weekday)
    return [f"{_days_said(days)} {spans}" for spans, days in day_of.items()]


def _days_said(days: list[int]) -> str:
    """``Mon to Fri``, or the days one by one where they are not in a row."""
    names = [str(WEEKDAYS_ABBR[day]) for day in days]
    is_row = days == list(range(days[0], days[-1] + 1))
    if is_row and len(days) > 2:
        return _("%(first)s to %(last)s") % {"first": names[0], "last": names[-1]}
    return ", ".join(names)


def _clock(at: time) -> str:
    return time_format(at, "G:i")


def first_word_by(shop: Shop, now: datetime) -> datetime | None:
    """When a customer who comes now hears from us first, by the shop's promise.

    ``None`` where the shop has no opening hours, no terms, or promises nothing.
    """
    try:
        days = queries.terms_at(shop, now).first_word_days
    except Terms.DoesNotExist:
        return None
    return end_of_working_day(hours_of(shop), now, days) if days else None
