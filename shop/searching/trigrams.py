"""The index of three signs at a time over all words, as each database has it.

SQLite: an FTS5 table over the words' table, kept by triggers (SQLite, FTS5, 4.4.2 and
4.3.5). Erased words go at once, where SQLite can (3.42, "secure-delete"), not when
pages are merged. PostgreSQL: a GIN index of pg_trgm. Where our user may not add that
extension, or the server has none, the search reads every word: right, but slow.
"""

import sqlite3
from collections.abc import Callable

from django.db import DatabaseError, transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from shop.searching.word_names import OF_TEXTS, WORDS
from shop.searching.word_names import TRIGRAMS as FTS

INDEX = "searching_word_by_trigrams"
OLDEST_SQLITE = (3, 34)
FORGETS_AT_ONCE = (3, 42)
EXTENSION = "CREATE EXTENSION IF NOT EXISTS pg_trgm"
Say = Callable[[str], object]
SLOW = (
    "The search has no trigram index, so it reads every word that there is: {why}\n"
    'Let a superuser run "CREATE EXTENSION pg_trgm;" in this database (Debian: the '
    "package postgresql has it), then: python3 manage.py search_anew"
)
# Our own names are put together here, and nothing else.
# ruff: noqa: S608
SQLITE = (
    (
        f"CREATE VIRTUAL TABLE {FTS} USING fts5(word, content='{WORDS}', "
        "content_rowid='id', tokenize='trigram')"
    ),
    (
        f"CREATE TRIGGER {FTS}_in AFTER INSERT ON {WORDS} BEGIN "
        f"INSERT INTO {FTS}(rowid, word) VALUES (new.id, new.word); END"
    ),
    (
        f"CREATE TRIGGER {FTS}_out AFTER DELETE ON {WORDS} BEGIN "
        f"INSERT INTO {FTS}({FTS}, rowid, word) "
        "VALUES ('delete', old.id, old.word); END"
    ),
)
FORGET = "INSERT INTO {fts}({fts}, rank) VALUES ('secure-delete', 1)"
MERGE = "INSERT INTO {fts}({fts}) VALUES ('optimize')"
REBUILD = "INSERT INTO {fts}({fts}) VALUES ('rebuild')"


def make(line: BaseDatabaseWrapper, say: Say) -> bool:
    """Make the index where there is none; False, said aloud, where that can't be."""
    return _sqlite(line, say) if line.vendor == "sqlite" else _postgresql(line, say)


def has_index(line: BaseDatabaseWrapper) -> bool:
    asked = {
        "sqlite": ("SELECT 1 FROM sqlite_master WHERE name = %s", FTS),
        "postgresql": ("SELECT 1 FROM pg_class WHERE relname = %s", INDEX),
    }
    question, name = asked[line.vendor]
    with line.cursor() as cursor:
        cursor.execute(question, [name])
        return cursor.fetchone() is not None


def _sqlite(line: BaseDatabaseWrapper, say: Say) -> bool:
    if sqlite3.sqlite_version_info < OLDEST_SQLITE:
        say(f"The search needs SQLite 3.34 or newer; this is {sqlite3.sqlite_version}.")
        return False
    with line.cursor() as cursor:
        if not has_index(line):
            for statement in SQLITE:
                cursor.execute(statement)
            forget_at_once(line)
    _say_to_each(line, REBUILD)
    return True


def _postgresql(line: BaseDatabaseWrapper, say: Say) -> bool:
    if has_index(line):
        return True
    try:
        with transaction.atomic(using=line.alias), line.cursor() as cursor:
            cursor.execute(EXTENSION)
            cursor.execute(
                f"CREATE INDEX {INDEX} ON {WORDS} "
                "USING gin (word gin_trgm_ops) WITH (fastupdate = off)"
            )
    except DatabaseError as error:
        say(SLOW.format(why=str(error).partition("\n")[0]))
        return False
    return True


def _say_to_each(line: BaseDatabaseWrapper, statement: str) -> None:
    """To SQLite's index of words and to that of texts."""
    with line.cursor() as cursor:
        for fts in (FTS, OF_TEXTS):
            cursor.execute(statement.format(fts=fts))


def forget_at_once(line: BaseDatabaseWrapper) -> None:
    """Said again after each migration: no statement that made the index tells of it."""
    is_able = sqlite3.sqlite_version_info >= FORGETS_AT_ONCE
    if line.vendor == "sqlite" and is_able and has_index(line):
        _say_to_each(line, FORGET)


def forget(line: BaseDatabaseWrapper) -> None:
    """What was erased leaves the index too, where SQLite only marks it as gone."""
    is_old = sqlite3.sqlite_version_info < FORGETS_AT_ONCE
    if line.vendor == "sqlite" and is_old and has_index(line):
        _say_to_each(line, MERGE)


def drop(line: BaseDatabaseWrapper) -> None:
    if line.vendor == "sqlite":
        for name in ("in", "out", "anew"):
            line.cursor().execute(f"DROP TRIGGER IF EXISTS {FTS}_{name}")
        line.cursor().execute(f"DROP TABLE IF EXISTS {FTS}")
    else:
        line.cursor().execute(f"DROP INDEX IF EXISTS {INDEX}")
