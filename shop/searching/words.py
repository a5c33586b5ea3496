"""Every word of the texts once, and which texts have it, as each database keeps them.

A row is a word between its signs (``plain.WHO``, ``plain.STORY``), so that a piece of
one is found in it as it is found in a text. Triggers keep the table: a word that no
text has any more goes with its last text. Which texts have a word is told by an index
over them: FTS5 with our signs between the words, or GIN over an array.
"""

from collections.abc import Callable, Sequence

from django.db.backends.base.base import BaseDatabaseWrapper

from shop.searching import words_of_postgresql as postgresql
from shop.searching import words_of_sqlite as sqlite

AT_ONCE = 2000


def make(line: BaseDatabaseWrapper) -> None:
    """The table with every word that there is, its triggers, the index of the texts."""
    drop(line)
    room = sqlite if line.vendor == "sqlite" else postgresql
    _each(line, room.MAKE)


def drop(line: BaseDatabaseWrapper) -> None:
    room = sqlite if line.vendor == "sqlite" else postgresql
    _each(line, room.DROP)


def keep(line: BaseDatabaseWrapper, ids: Sequence[int]) -> None:
    """What another act's words took with them while these texts were written."""
    if line.vendor == "postgresql":
        with line.cursor() as cursor:
            cursor.execute(postgresql.MISSING, [list(ids)])


def sweep(line: BaseDatabaseWrapper, may_go_on: Callable[[], bool]) -> None:
    """What two acts at once left to each other, some words at a time."""
    last = ""
    while line.vendor == "postgresql" and may_go_on():
        with line.cursor() as cursor:
            cursor.execute(postgresql.NEXT, [last, AT_ONCE])
            found = [word for (word,) in cursor.fetchall()]
            if not found:
                return
            cursor.execute(postgresql.SWEEP, [found])
        last = found[-1]


def _each(line: BaseDatabaseWrapper, statements: Sequence[str]) -> None:
    with line.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
