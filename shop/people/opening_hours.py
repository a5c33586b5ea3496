"""The shop's week and its closed days, from their rows."""

from collections import defaultdict
from datetime import date, datetime, timedelta

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


def first_word_by(shop: Shop, now: datetime) -> datetime | None:
    """When a customer who comes now hears from us first, by the shop's promise.

    ``None`` where the shop has no opening hours, no terms, or promises nothing.
    """
    try:
        days = queries.terms_at(shop, now).first_word_days
    except Terms.DoesNotExist:
        return None
    return end_of_working_day(hours_of(shop), now, days) if days else None
