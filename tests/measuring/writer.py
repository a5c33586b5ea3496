"""Writes copies of rows in bulk: what stays the same is prepared only once."""

from collections.abc import Iterable, Iterator
from datetime import timedelta
from functools import cache
from typing import Any

from django.db import connections

from tests.measuring.patterns import Row, Table, columns_of, moved

columns = cache(columns_of)
PLAIN = {int, float, str, type(None)}  # every database takes them as they are


class Writer:
    """``stride`` is how far the keys of one copy lie from those of the next."""

    def __init__(self, stride: int) -> None:
        self.stride = stride
        self.line = connections["default"]  # the proxy costs more than the row
        self.ready: dict[int, Row] = {}

    def strides(self, place: int) -> int:
        return (place + 1) * self.stride

    def moved(self, table: Table, row: Row, place: int, earlier: timedelta) -> Row:
        return dict(moved(row, columns(table), self.strides(place), earlier))

    def write(self, table: Table, rows: Iterable[tuple[Row, Row]]) -> None:
        quote = self.line.ops.quote_name
        fields = fields_of(table)
        into = quote(table._meta.db_table)
        names = ", ".join(quote(field.column) for field in fields.values())
        ready = self.prepared(table, rows)
        with self.line.cursor() as cursor:
            if self.line.vendor == "postgresql":
                with cursor.copy(f"COPY {into} ({names}) FROM STDIN") as pipe:
                    for row in ready:
                        pipe.write_row(row)
                return
            values = ", ".join(["%s"] * len(fields))
            # Only names of our own tables and columns are put together here.
            statement = f"INSERT INTO {into} ({names}) VALUES ({values})"  # noqa: S608
            cursor.executemany(statement, list(ready))

    def prepared(
        self, table: Table, rows: Iterable[tuple[Row, Row]]
    ) -> Iterator[tuple[Any, ...]]:
        """The rows as the database takes them; a pattern's row is known by itself."""
        names = list(fields_of(table))
        for row, changes in rows:
            ready = self.ready.get(id(row))
            if ready is None:
                ready = self.ready[id(row)] = self.prepare(table, row)
            whole = ready | self.prepare(table, changes)
            yield tuple([whole[name] for name in names])

    def prepare(self, table: Table, row: Row) -> Row:
        fields = fields_of(table)
        return {
            name: value
            if type(value) in PLAIN
            else fields[name].get_db_prep_save(value, self.line)
            for name, value in row.items()
        }


@cache
def fields_of(table: Table) -> dict[str, Any]:
    return {field.attname: field for field in table._meta.concrete_fields}
