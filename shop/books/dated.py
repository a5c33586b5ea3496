"""What the streams of the journal share: rows of a period, their days and marks."""

from collections.abc import Iterator
from datetime import date, datetime
from typing import Any

from django.db.models import QuerySet

from shop.books.periods import Period
from shop.books.posting.entries import Entry
from shop.people.models import Shop

PIECE = 500
Dated = tuple[datetime, int, int, Entry]


def rows_in(rows: QuerySet[Any], period: Period, column: str = "at") -> Iterator[Any]:
    """Read in pieces, in the order of time."""
    between = {f"{column}__gte": period.start, f"{column}__lt": period.end}
    return rows.filter(**between).order_by(column, "pk").iterator(PIECE)


def mark_of(letter: str, pk: int) -> str:
    """What an entry without a paper's number is found by again.

    >>> mark_of("P", 41)
    'P41'
    """
    return f"{letter}{pk}"


def day_of(at: datetime, shop: Shop) -> date:
    return at.astimezone(shop.zone_at(at)).date()
