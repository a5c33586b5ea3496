"""Looking for words wherever the house keeps anything.

Every column of every table by the database's own list, sealed columns opened, sessions
decoded, files, caches; what was logged is asked by who has it.
"""

import pickle
from collections.abc import Iterable, Iterator
from pathlib import Path

from django.conf import settings
from django.contrib.sessions.models import Session
from django.core.cache import caches
from django.core.cache.backends.locmem import LocMemCache
from django.db import connection

from shop.records.sealed import sealed_fields, unseal

Cell = tuple[str, str]


def found(words: Iterable[str]) -> set[tuple[str, str]]:
    """Where each of these words stands: (place, word), capitals or not."""
    wanted = {word: word.casefold() for word in words}
    return {
        (place, word)
        for place, text in everywhere()
        for word, folded in wanted.items()
        if folded in text
    }


def everywhere() -> Iterator[Cell]:
    for place, text in (*cells(), *opened(), *sessions(), *files(), *cached()):
        yield place, text.casefold()


def cells() -> Iterator[Cell]:
    """The database as its own catalogue lists it, not as our models do."""
    with connection.cursor() as cursor:
        tables = connection.introspection.table_names(cursor)
        assert len(tables) > 60
        for table in tables:
            quoted = connection.ops.quote_name(table)
            cursor.execute(f"SELECT * FROM {quoted}")  # noqa: S608  our own tables
            names = [column[0] for column in cursor.description]
            for row in cursor.fetchall():
                yield from (
                    (f"{table}.{name}", as_text(value))
                    for name, value in zip(names, row, strict=True)
                )


def as_text(value: object) -> str:
    if isinstance(value, bytes | memoryview):
        return bytes(value).decode("latin-1")
    text = str(value)
    return text.encode().decode("unicode_escape") if "\\u" in text else text


def opened() -> Iterator[Cell]:
    for model, field in sealed_fields():
        for row in model._default_manager.exclude(**{field.name: ""}):
            yield f"sealed {model._meta.label}.{field.name}", unseal(row, field.name)


def sessions() -> Iterator[Cell]:
    for row in Session.objects.all():
        yield "sessions", str(row.get_decoded())


def files() -> Iterator[Cell]:
    for place in (settings.MEDIA_ROOT, settings.OUTGOING_DIR, settings.PAPERS_DIR):
        for path in Path(place).rglob("*"):
            if path.is_file():
                yield f"file {path.name}", path.read_bytes().decode("latin-1")


def cached() -> Iterator[Cell]:
    for alias in settings.CACHES:
        cache = caches[alias]
        assert isinstance(cache, LocMemCache)
        for key, value in vars(cache)["_cache"].items():
            yield f"cache {alias}", f"{key} {pickle.loads(value)!r}"  # noqa: S301
