"""Tickets that may be meant: the words like the typed ones, and whose texts have them.

Both databases are asked for the same pieces of words, keep the same words that are
alike, and give the same tickets, newest first.
"""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from django.db import connection, transaction
from django.db.models import Max

from shop.people.models import Shop
from shop.records.cache import cache
from shop.searching import ranking, trigrams
from shop.searching.asking import SHORTEST, Pieces, Sought, Wish
from shop.searching.common import Meant, Newest, having_all, newest_of
from shop.searching.models import TicketText
from shop.searching.ranking import Text
from shop.searching.word_names import OF_TEXTS, TEXTS, TRIGRAMS, WORDS
from shop.searching.words_of_postgresql import array

# Our own names are put together here; what was typed goes apart.
# ruff: noqa: S608
WORDS_BY_FTS = f"SELECT word FROM {TRIGRAMS} WHERE {TRIGRAMS} MATCH %s LIMIT %s"
WORDS_BY_LIKE = f"SELECT word FROM {WORDS} WHERE {{any_piece}} LIMIT %s"
TEXTS_WITH = (
    "SELECT t.ticket_id, t.text FROM {source} "
    "WHERE {wish}t.shop_id = %s AND {pk} > %s AND {pk} <= %s "
    "ORDER BY {pk} DESC LIMIT %s"
)
ALL = f"{TEXTS} t"
PAST_ALL = 2**63 - 1
BY_FTS = f"{OF_TEXTS} f CROSS JOIN {ALL} ON t.ticket_id = f.rowid"  # in this order
IN_FTS, IN_ARRAY = f"f.{OF_TEXTS} MATCH %s", f"{array('t.text')} && %s::text[]"
# PostgreSQL takes rare words for common, and reads the texts one by one. Made to set
# words and the newest tickets' numbers against each other, it has few texts to read.
BITMAPS_ALONE = {
    "enable_indexscan": "off",
    "enable_seqscan": "off",
    "cpu_tuple_cost": "100",
    "max_parallel_workers_per_gather": "0",
    "jit": "off",
}
NEWEST = 16_000  # tickets that are looked through first
ROOM = 1.5  # as many times the tickets in which enough should be
# Words with a piece; beyond, the newest texts are read for the piece itself.
MANY, MANY_SHORT = 3000, 1000
READ, MOST_READ = 1000, 5  # newest tickets read at once for common words, and times
NEWEST_SECONDS = 3600


@dataclass(frozen=True)
class Look:
    """One search of a shop's texts: several wishes, one transaction, one way."""

    shop: Shop
    last: int
    newest: Newest
    known: dict[Sought, frozenset[str] | None] = field(default_factory=dict)

    def found(self, wish: Wish, most: int) -> list[Text]:
        """The newest tickets whose texts have a word that is meant for each."""
        meant = [Meant(one.pieces, self._meant(one)) for one in wish]
        if any(one.is_nothing for one in meant):
            return []
        if connection.vendor == "sqlite":
            return self._asked(meant, most, after=0)
        rare = [one for one in meant if not one.is_common(self.newest.common)]
        if not rare:
            return self._read(meant, most)
        often = [one for one in meant if one not in rare]
        return self._sifted(rare, often, most, reach=NEWEST * self.newest.apart)

    def _read(self, meant: Sequence[Meant], most: int) -> list[Text]:
        """From the newest on; the index has to say what is missing then."""
        found, until = list[Text](), self.last
        for _time in range(MOST_READ):
            after = max(until - READ * self.newest.apart, 0)
            texts = self._asked((), READ, after=after, until=until)
            found += having_all(meant, texts)
            until = texts[-1].ticket_id - 1 if len(texts) == READ else after
            if len(found) >= most or not until:
                return found[:most]
        reach = wider(self.last - until, len(found), most)
        return self._sifted(meant, (), most, reach=reach)

    def _sifted(
        self, rare: Sequence[Meant], often: Sequence[Meant], most: int, *, reach: int
    ) -> list[Text]:
        """By the rare words; whether a text has the common ones too is read in it."""
        asked = most
        while True:
            after = max(self.last - reach, 0)
            texts = self._asked(rare, asked, after=after)
            found = having_all(often, texts)
            is_whole = len(texts) < asked
            if len(found) >= most or (is_whole and not after):
                return found[:most]
            if is_whole:
                reach = wider(reach, len(found), most)
            else:
                asked *= 4

    def _asked(
        self, meant: Sequence[Meant], most: int, *, after: int, until: int = PAST_ALL
    ) -> list[Text]:
        sql, asked = _texts_with(meant)
        rows = _rows(sql, [*asked, self.shop.pk, after, until, most])
        return [Text(*row) for row in rows]

    def _meant(self, one: Sought) -> frozenset[str] | None:
        """The words like this one; ``None`` where too many have a piece of it."""
        if one not in self.known:
            many = MANY if len(one.word) > SHORTEST else MANY_SHORT
            found = _words_with(one.pieces, many + 1)
            self.known[one] = (
                frozenset(word for word in found if ranking.alike(one.word, word))
                if len(found) <= many
                else None
            )
        return self.known[one]


@contextmanager
def looking(shop: Shop) -> Iterator[Look]:
    with transaction.atomic():
        last = TicketText.objects.aggregate(last=Max("pk"))["last"] or 0
        newest = _newest(shop)
        _plan(f"SET LOCAL {name} = {cost}" for name, cost in BITMAPS_ALONE.items())
        yield Look(shop, last, newest)
        _plan(f"SET LOCAL {name} TO DEFAULT" for name in BITMAPS_ALONE)


def _newest(shop: Shop) -> Newest:
    """Looked at anew every hour, by each process for itself."""
    if connection.vendor == "sqlite":
        return Newest()
    key = f"searching-newest-{shop.pk}"
    kept: Newest | None = cache.get(key)
    if kept is None:
        rows = TicketText.objects.filter(shop=shop).order_by("-pk")
        found = rows.values_list("pk", "text")[:READ]
        kept = newest_of([Text(*row) for row in found])
        cache.set(key, kept, NEWEST_SECONDS)
    return kept


def _plan(settings: Iterable[str]) -> None:
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("; ".join(settings))


def wider(looked_through: int, count: int, most: int) -> int:
    """Among how many of the newest tickets there should be enough.

    >>> wider(16_000, 300, 600), wider(16_000, 0, 600) > 10**7
    (48000, True)
    """
    return int(ROOM * looked_through * most / max(count, 0.01))


def _words_with(pieces: Pieces, most: int) -> list[str]:
    """Words, without their signs, that have one of these pieces."""
    if connection.vendor == "sqlite" and trigrams.has_index(connection):
        rows = _rows(WORDS_BY_FTS, [_any(pieces), most])
    else:
        any_piece, asked = _holding("word", pieces)
        rows = _rows(WORDS_BY_LIKE.format(any_piece=any_piece), [*asked, most])
    return [word[1:-1] for (word,) in rows]


def _texts_with(meant: Sequence[Meant]) -> tuple[str, list[Any]]:
    told = [one.words for one in meant if one.words is not None]
    is_by_fts = connection.vendor == "sqlite" and bool(told)
    said, asked = list[str](), list[Any]()
    if is_by_fts:
        said.append(IN_FTS)
        asked.append(matched(told))
    elif told:
        said += [IN_ARRAY] * len(told)
        asked += [sorted(own) for own in told]
    for one in meant:
        if one.words is None:
            any_piece, own = _holding("t.text", one.pieces)
            said.append(any_piece)
            asked += own
    sql = TEXTS_WITH.format(
        source=BY_FTS if is_by_fts else ALL,
        wish="".join(f"{one} AND " for one in said),
        pk="f.rowid" if is_by_fts else "t.ticket_id",
    )
    return sql, asked


def _rows(sql: str, asked: Sequence[Any]) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql, asked)
        return list(cursor.fetchall())


def matched(told: Iterable[Iterable[str]]) -> str:
    """In FTS5's language; a word is in quotes and holds none: words have no signs.

    >>> matched([["ada", "ida"], ["i4"]])
    '("ada" OR "ida") AND ("i4")'
    """
    return " AND ".join(f"({_any(sorted(own))})" for own in told)


def _any(pieces: Iterable[str]) -> str:
    return " OR ".join(f'"{piece}"' for piece in pieces)


def _holding(column: str, pieces: Pieces) -> tuple[str, list[str]]:
    """LIKE, which pg_trgm's index serves; words hold none of its wildcards."""
    said = " OR ".join([f"{column} LIKE %s"] * len(pieces))
    return f"({said})", [f"%{piece}%" for piece in pieces]
