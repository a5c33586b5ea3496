"""What two databases must have in common to hold the same shop.

Of each table: how many rows; of each column how many values, of each integer
column the sum, both by the database itself; and a SHA-256 of all rows in the order
of their keys, by what each value means: a moment in UTC, a number by its value, a
JSON document with its keys in order.
"""

import hashlib
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from django.db import connections, models
from django.db.models.functions import Collate

from shop.keeping.portable import Field, meant

AT_ONCE = 2000
Model = type[models.Model]
Row = tuple[Any, ...]


@dataclass(frozen=True)
class Proof:
    """One table of one database."""

    table: str
    rows: int
    values: dict[str, int]
    sums: dict[str, int]
    digest: str

    def differs_in(self, other: "Proof") -> list[str]:
        """In which respects two are not the same, in words."""
        found = ["rows"] if self.rows != other.rows else []
        for what in ("values", "sums"):
            mine, theirs = getattr(self, what), getattr(other, what)
            odd = sorted(c for c in {*mine, *theirs} if mine.get(c) != theirs.get(c))
            found += [f"{what} of {column}" for column in odd]
        return found + (["content"] if self.digest != other.digest else [])


def fields_of(model: Model) -> list[Field]:
    return [f for f in model._meta.concrete_fields if not f.generated]


def rows_of(model: Model, alias: str) -> Iterator[Row]:
    """Every row in the order of its key, by the same order of letters everywhere."""
    names = [field.attname for field in fields_of(model)]
    key: Any = "pk"
    is_text = isinstance(meant(model._meta.pk), (models.CharField, models.TextField))
    if is_text and connections[alias].vendor == "postgresql":
        key = Collate("pk", "C")
    rows = model._base_manager.using(alias).order_by(key).values_list(*names)
    return rows.iterator(chunk_size=AT_ONCE)


def proof_of(model: Model, alias: str) -> Proof:
    digest = hashlib.sha256()
    for row in rows_of(model, alias):
        digest.update(canonical(row).encode("utf-8", "surrogatepass") + b"\n")
    count, values, sums = counted(model, alias)
    return Proof(model._meta.db_table, count, values, sums, digest.hexdigest())


def counted(model: Model, alias: str) -> tuple[int, dict[str, int], dict[str, int]]:
    """Rows, values and sums of a table as its database adds them up."""
    line = connections[alias]
    quote = line.ops.quote_name
    columns = [str(field.column) for field in fields_of(model)]
    integers = [str(f.column) for f in fields_of(model) if is_integer(f)]
    asked = ["COUNT(*)"]
    asked += [f"COUNT({quote(column)})" for column in columns]
    asked += [f"COALESCE(SUM({quote(column)}), 0)" for column in integers]
    table = quote(model._meta.db_table)
    with line.cursor() as cursor:
        cursor.execute(f"SELECT {', '.join(asked)} FROM {table}")  # noqa: S608  names of our tables
        count, *told = [int(one) for one in cursor.fetchone()]
    values = dict(zip(columns, told[: len(columns)], strict=True))
    return count, values, dict(zip(integers, told[len(columns) :], strict=True))


def is_integer(field: Field) -> bool:
    return isinstance(meant(field), models.IntegerField)


def canonical(value: object) -> str:
    """A text that is the same for the same value, whatever database it is from.

    >>> canonical((1, 1.0, Decimal("1.50"), True, None, {"b": [2.0], "a": "x"}))
    '[1,1,{"decimal":"1.5"},true,null,{"a":"x","b":[2]}]'
    """
    return json.dumps(plain(value), sort_keys=True, separators=(",", ":"))


def plain(value: object) -> object:
    """A value as JSON has it; a day or a UUID as the text that it has everywhere."""
    if value is None or isinstance(value, (bool, int, str)):
        return value
    spell = SPELLINGS.get(type(value), str)
    return spell(value)


SPELLINGS: dict[type, Callable[[Any], object]] = {
    float: lambda value: int(value) if value.is_integer() else value,
    Decimal: lambda value: {"decimal": format(value.normalize(), "f")},
    datetime: lambda value: value.astimezone(UTC).isoformat(),
    list: lambda value: [plain(one) for one in value],
    tuple: lambda value: [plain(one) for one in value],
    dict: lambda value: {str(key): plain(one) for key, one in value.items()},
    bytes: lambda value: value.hex(),
    memoryview: lambda value: bytes(value).hex(),
}
