"""What SQLite keeps and PostgreSQL refuses: found before anything is written.

SQLite holds any text in any column, of any length, and integers of 64 bits;
PostgreSQL has no NUL in a text, no half of a surrogate pair, no NaN in JSON, and
means the length and the size of a column (PostgreSQL manual, 8.1, 8.3, 8.14).
"""

import math
from collections.abc import Callable, Iterator
from typing import Any, TypeAlias

from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper

Find = Callable[[object], str]
Field: TypeAlias = "models.Field[Any, Any]"


def finder(field: Field, target: BaseDatabaseWrapper) -> Find:
    """A function that says what is wrong with a value of a column, or nothing."""
    field = meant(field)
    if isinstance(field, models.JSONField):
        return wrong_in_json
    if isinstance(field, models.IntegerField):
        low, high = target.ops.integer_field_range(field.get_internal_type())
        return lambda value: wrong_in_number(value, low, high)
    longest = field.max_length if isinstance(field, models.CharField) else None
    return lambda value: wrong_in_text(value, longest)


def meant(field: Field) -> Field:
    """The field whose values a foreign key holds."""
    while isinstance(field, models.ForeignKey):
        field = field.target_field
    return field


def wrong_in_number(value: object, low: int | None, high: int | None) -> str:
    if not isinstance(value, int):
        return ""
    too_small = low is not None and value < low
    too_big = high is not None and value > high
    return "holds a number too big for its column" if too_small or too_big else ""


def wrong_in_text(value: object, longest: int | None = None) -> str:
    if not isinstance(value, str):
        return ""
    if "\x00" in value:
        return "holds a NUL"
    if any("\ud800" <= sign <= "\udfff" for sign in value):
        return "holds half a surrogate pair"
    if longest is not None and len(value) > longest:
        return f"is longer than {longest} signs"
    return ""


def wrong_in_json(value: object) -> str:
    wrong = (wrong_in_text(one) or wrong_in_float(one) for one in inside(value))
    return next((told for told in wrong if told), "")


def wrong_in_float(value: object) -> str:
    is_odd = isinstance(value, float) and not math.isfinite(value)
    return "holds NaN or an infinity" if is_odd else ""


def inside(value: object) -> Iterator[object]:
    """Every key and plain value of a JSON document."""
    if isinstance(value, dict):
        for key, one in value.items():
            yield key
            yield from inside(one)
    elif isinstance(value, list):
        for one in value:
            yield from inside(one)
    else:
        yield value
