"""Turning the sealed columns over to the newest key, in batches, from any start."""

from collections.abc import Iterator
from dataclasses import dataclass

from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from django.db import models

from shop.records import field_keys
from shop.records.sealed import SealedField, sealed_fields

BATCH = 200


@dataclass
class Count:
    """How the rows of one sealed column stand. ``empty`` ones hold nothing."""

    column: str
    newest: int = 0
    older: int = 0
    lost: int = 0
    empty: int = 0
    turned: int = 0


def counts() -> list[Count]:
    """Every row of every sealed column, opened with the newest key alone."""
    return [_count(model, field) for model, field in sealed_fields()]


def turn_over() -> list[Count]:
    """Seal what older keys sealed with the newest; then count everything anew.

    Killed in the middle, it goes on where it was: a row is turned or it is not.
    """
    turned = {}
    for model, field in sealed_fields():
        turned[name_of(model, field)] = sum(
            _turn(model, field, pk, text) for pk, text in _rows(model, field)
        )
    found = counts()
    for count in found:
        count.turned = turned[count.column]
    return found


def name_of(model: type[models.Model], field: SealedField) -> str:
    return f"{model._meta.label}.{field.name}"


def _rows(
    model: type[models.Model], field: SealedField
) -> Iterator[tuple[object, str]]:
    """Key and ciphertext of each row, a batch at a time in the order of their keys."""
    rows = model._default_manager.order_by("pk").values_list("pk", field.name)
    batch = list(rows[:BATCH])
    while batch:
        yield from batch
        batch = list(rows.filter(pk__gt=batch[-1][0])[:BATCH])


def _count(model: type[models.Model], field: SealedField) -> Count:
    newest, *older = field_keys.kept()
    count = Count(name_of(model, field))
    for _pk, text in _rows(model, field):
        if not text:
            count.empty += 1
        elif opens([newest], text):
            count.newest += 1
        elif older and opens(older, text):
            count.older += 1
        else:
            count.lost += 1
    return count


def opens(keys: list[str], text: str) -> bool:
    try:
        MultiFernet([Fernet(key) for key in keys]).decrypt(text)
    except InvalidToken:
        return False
    return True


def _turn(model: type[models.Model], field: SealedField, pk: object, text: str) -> int:
    """1 if this row was turned now. What changed meanwhile is left as it is."""
    newest, *older = field_keys.kept()
    if not text or not older or opens([newest], text) or not opens(older, text):
        return 0
    keys = MultiFernet([Fernet(key) for key in (newest, *older)])
    as_it_was = {"pk": pk, field.name: text}
    fresh = keys.rotate(text).decode()
    return model._default_manager.filter(**as_it_was).update(**{field.name: fresh})
