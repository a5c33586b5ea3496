"""Sealed columns: text that lies in the database as ciphertext alone.

Fernet (AES-128-CBC with HMAC-SHA256, the specification of the ``cryptography``
package) has no associated data. So what is sealed carries the name of its column
and the row that it belongs to, and both are compared on opening: a ciphertext that
was moved to another row or column does not open there.
"""

import json
from typing import TYPE_CHECKING, Any

from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from django.apps import apps
from django.db import models
from django.views.decorators.debug import sensitive_variables

from shop.records import field_keys

if TYPE_CHECKING:
    Text = models.TextField[str, str]
else:
    Text = models.TextField

# Sealed texts are filled up to a multiple of this, so that the length of what lies in
# the database doesn't tell a short passcode from a long one.
FILLED_TO = 192


class CannotOpen(Exception):
    """The key is lost, or the ciphertext is not of this row: nothing can be read."""


class Secret(str):
    """A text that was opened: shown where it is meant to be, in no error report."""

    __slots__ = ()

    def __repr__(self) -> str:
        return "<sealed>"


class SealedField(Text):
    """A column of ciphertext, bound to what ``bound_to`` names on its own row.

    Every such column is found by ``sealed_fields`` and turned over by
    ``manage.py rotate_keys``: a new one needs no list.
    """

    def __init__(self, *args: Any, bound_to: str, **kwargs: Any) -> None:
        self.bound_to = bound_to
        kwargs.setdefault("blank", True)
        kwargs.setdefault("default", "")
        kwargs["editable"] = False
        super().__init__(*args, **kwargs)

    def deconstruct(self) -> Any:
        name, path, args, kwargs = super().deconstruct()
        del kwargs["editable"]
        return name, path, args, {**kwargs, "bound_to": self.bound_to}

    def mark_of(self, row: models.Model) -> list[str]:
        """What a ciphertext of this column on this row has to carry."""
        return [row._meta.label, self.name, str(getattr(row, self.bound_to))]


@sensitive_variables()
def seal(row: models.Model, column: str, text: str) -> None:
    """Put a text into a sealed column; an empty one empties it. Saves nothing."""
    if not text:
        setattr(row, column, "")
        return
    inside = json.dumps([*_field(row, column).mark_of(row), text]).encode()
    filled = inside.ljust(-(-len(inside) // FILLED_TO) * FILLED_TO)
    setattr(row, column, keys().encrypt(filled).decode())


@sensitive_variables()
def unseal(row: models.Model, column: str) -> Secret:
    """The text in a sealed column; raises ``CannotOpen``."""
    kept: str = getattr(row, column)
    if not kept:
        return Secret()
    try:
        *mark, text = json.loads(keys().decrypt(kept))
    except InvalidToken:
        raise CannotOpen from None
    if mark != _field(row, column).mark_of(row):
        raise CannotOpen
    return Secret(text)


def can_open(row: models.Model, column: str) -> bool:
    try:
        unseal(row, column)
    except CannotOpen:
        return False
    return True


def keys() -> MultiFernet:
    """The first key seals, every key opens."""
    return MultiFernet([Fernet(key) for key in field_keys.kept()])


def sealed_fields() -> list[tuple[type[models.Model], SealedField]]:
    """Every sealed column of the house, in the order of the models."""
    return [
        (model, field)
        for model in apps.get_models()
        for field in model._meta.local_fields
        if isinstance(field, SealedField)
    ]


def _field(row: models.Model, column: str) -> SealedField:
    field = row._meta.get_field(column)
    assert isinstance(field, SealedField), f"{column} is not a sealed column"
    return field
