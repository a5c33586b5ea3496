"""Tickets that may be meant, by the trigrams of each database.

Both are asked for the same pieces and give the same tickets, newest first.
"""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from django.db import connection, transaction
from django.db.models import Max

from shop.people.models import Shop
from shop.searching import trigrams
from shop.searching.asking import Pieces, Wish
from shop.searching.models import TicketText
from shop.searching.ranking import Text

TABLE, FTS = trigrams.TABLE, trigrams.FTS
# Our own names are put together here; what was typed goes apart.
BY_FTS = (
    f"SELECT t.ticket_id, t.text FROM {FTS} f "  # noqa: S608
    f"JOIN {TABLE} t ON t.ticket_id = f.rowid "
    f"WHERE f.{FTS} MATCH %s AND t.shop_id = %s ORDER BY f.rowid DESC LIMIT %s"
)
BY_TEXT = (
    f"SELECT ticket_id, text FROM {TABLE} "  # noqa: S608
    "WHERE ({wish}) AND shop_id = %s AND ticket_id > %s "
    "ORDER BY ticket_id DESC LIMIT %s"
)
# PostgreSQL holds reading a text for cheap, and few trigrams for telling. Made to set
# the trigrams of every word and the newest tickets' numbers against each other, it has
# few texts to read.
BITMAPS_ALONE = (
    "SET LOCAL enable_indexscan = off; SET LOCAL enable_seqscan = off; "
    "SET LOCAL cpu_tuple_cost = 100"
)
AS_EVER = (
    "SET LOCAL enable_indexscan TO DEFAULT; SET LOCAL enable_seqscan TO DEFAULT; "
    "SET LOCAL cpu_tuple_cost TO DEFAULT"
)
NEWEST = 16_000  # tickets that are looked through first
ROOM = 1.5  # as many times the tickets in which enough should be


@dataclass(frozen=True)
class Look:
    """One search of a shop's texts: several wishes, one transaction, one way."""

    shop: Shop
    last: int

    def found(self, wish: Wish, most: int) -> list[Text]:
        """The newest tickets whose texts hold a piece of each word."""
        with connection.cursor() as cursor:
            if connection.vendor == "sqlite" and trigrams.has_index(connection):
                cursor.execute(BY_FTS, [matched(wish), self.shop.pk, most])
                return _texts(cursor.fetchall())
            sql, pieces = _by_text(wish)
            after = max(self.last - NEWEST, 0)
            while True:
                cursor.execute(sql, [*pieces, self.shop.pk, after, most])
                rows = cursor.fetchall()
                if len(rows) == most or not after:
                    return _texts(rows)
                after = max(self.last - wider(self.last - after, len(rows), most), 0)


@contextmanager
def looking(shop: Shop) -> Iterator[Look]:
    with transaction.atomic():
        last = TicketText.objects.aggregate(last=Max("pk"))["last"] or 0
        _plan(BITMAPS_ALONE)
        yield Look(shop, last)
        _plan(AS_EVER)


def _plan(how: str) -> None:
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(how)


def wider(looked_through: int, count: int, most: int) -> int:
    """Among how many of the newest tickets there should be enough.

    >>> wider(16_000, 300, 600), wider(16_000, 0, 600) > 10**7
    (48000, True)
    """
    return int(ROOM * looked_through * most / max(count, 0.01))


def _texts(rows: Iterable[tuple[int, str]]) -> list[Text]:
    return [Text(ticket_id, text) for ticket_id, text in rows]


def matched(wish: Wish) -> str:
    """In FTS5's language; a piece is in quotes and holds none: words have no signs.

    >>> matched((("0ad", "1ad"), ("i4",)))
    '("0ad" OR "1ad") AND ("i4")'
    """
    return " AND ".join(f"({_any(pieces)})" for pieces in wish)


def _any(pieces: Pieces) -> str:
    return " OR ".join(f'"{piece}"' for piece in pieces)


def _by_text(wish: Wish) -> tuple[str, list[str]]:
    """LIKE, which pg_trgm's index serves; words hold none of its wildcards."""
    said = " AND ".join(
        f"({' OR '.join(['text LIKE %s'] * len(pieces))})" for pieces in wish
    )
    asked = [f"%{piece}%" for pieces in wish for piece in pieces]
    return BY_TEXT.format(wish=said), asked
