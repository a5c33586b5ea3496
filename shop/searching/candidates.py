"""Tickets that may be meant, by the trigrams of each database.

Both are asked for the same pieces and give the same tickets, newest first.
"""

from collections.abc import Iterable, Iterator

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
    f"WITH found AS {{how}} (SELECT ticket_id, text FROM {TABLE} "  # noqa: S608
    "WHERE ({wish}) AND shop_id = %s AND ticket_id > %s) "
    "SELECT ticket_id, text FROM found ORDER BY ticket_id DESC LIMIT %s"
)
# A word that is everywhere is found among the newest; no need to fetch them all.
NEWEST = 4_000


def found(shop: Shop, wish: Wish, most: int) -> list[Text]:
    """The newest tickets whose texts hold a piece of each word."""
    with transaction.atomic(), connection.cursor() as cursor:
        if connection.vendor == "sqlite" and trigrams.has_index(connection):
            cursor.execute(BY_FTS, [matched(wish), shop.pk, most])
            return _texts(cursor.fetchall())
        sql, pieces = _by_text(wish)
        for after in _after():
            cursor.execute(sql, [*pieces, shop.pk, after, most])
            rows = cursor.fetchall()
            if len(rows) == most:
                break
        return _texts(rows)


def _after() -> Iterator[int]:
    """Where the newest tickets begin, then where all do."""
    last: int = TicketText.objects.aggregate(last=Max("pk"))["last"] or 0
    if last > NEWEST:
        yield last - NEWEST
    yield 0


def _texts(rows: Iterable[tuple[int, str]]) -> list[Text]:
    return [Text(ticket_id, text) for ticket_id, text in rows]


def matched(wish: Wish) -> str:
    """In FTS5's language; a piece is in quotes and holds none: words have no signs.

    >>> matched((("=ad", " ad"), ("14",)))
    '("=ad" OR " ad") AND ("14")'
    """
    return " AND ".join(f"({_any(pieces)})" for pieces in wish)


def _any(pieces: Pieces) -> str:
    return " OR ".join(f'"{piece}"' for piece in pieces)


def _by_text(wish: Wish) -> tuple[str, list[str]]:
    """LIKE, which pg_trgm's index serves; words hold none of its wildcards."""
    said = " AND ".join(
        f"({' OR '.join(['text LIKE %s'] * len(pieces))})" for pieces in wish
    )
    how = "MATERIALIZED" if connection.vendor == "postgresql" else ""
    asked = [f"%{piece}%" for pieces in wish for piece in pieces]
    return BY_TEXT.format(how=how, wish=said), asked
