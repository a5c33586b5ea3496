"""Figures of time in the words of a sentence."""

import math

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shop.office.figures import FEWEST
from shop.office.sections import Column, Kind
from shop.shown import figures

HOURS_A_DAY = 24


def days(value: float) -> str:
    return figures(f"{value:.1f}")


def span(value: float) -> str:
    """What follows on "in": days, or hours of less than one, to the nearest.

    >>> span(3.2), span(1.0), span(0.1)
    ('3 days', '1 day', '2 hours')
    """
    hours = max(1, math.floor(value * HOURS_A_DAY + 0.5))
    if hours < HOURS_A_DAY:
        return ngettext("%(n)d hour", "%(n)d hours", hours) % {"n": hours}
    full = math.floor(value + 0.5)
    return ngettext("%(n)d day", "%(n)d days", full) % {"n": full}


def tickets(count: int) -> str:
    return ngettext("%(n)d ticket", "%(n)d tickets", count) % {"n": count}


def followed(count: int, waiting: int) -> str:
    """ "38 tickets", or "38 tickets, 4 of them open"."""
    if not waiting:
        return tickets(count)
    told = {"tickets": tickets(count), "n": waiting}
    return _("%(tickets)s, %(n)d of them open") % told


def too_few(count: int) -> str:
    return _("Too few yet: %(n)d of %(fewest)d closed tickets.") % {
        "n": count,
        "fewest": FEWEST,
    }


def days_column(code: str, head: str) -> Column:
    return Column(code, head, Kind.DAYS)


def count_column(code: str, head: str) -> Column:
    return Column(code, head, Kind.COUNT)


def hundredths(value: float) -> str:
    return figures(f"{value:.2f}")
