"""A form done, or shown again: with what was refused, typed, or saved by others."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from django import forms
from django.http import QueryDict

from shop.people.access import AtWork
from shop.records.errors import Refused, StaleEdit

AnyForm = TypeVar("AnyForm", bound=forms.Form)
# The columns that a form calls by another name.
FIELD_OF = {"phone_typed": "phone", "text": "told"}


@dataclass(frozen=True)
class Stale:
    """One field that two people saved: what each of them wrote."""

    label: str
    mine: object
    theirs: object


def typed(request: AtWork) -> QueryDict | None:
    return request.POST if request.method == "POST" else None


def done(form: forms.Form, act: Callable[[], object]) -> bool:
    """Do the act; what it refuses stands beside the field where it belongs."""
    if not (form.is_bound and form.is_valid()):
        return False
    try:
        act()
    except Refused as refused:
        field = FIELD_OF.get(refused.field or "", refused.field)
        form.add_error(field if field in form.fields else None, str(refused))
    return not form.errors


def both(form: forms.Form, stale: StaleEdit) -> list[Stale]:
    """Mine and theirs, field by field, where they differ."""
    return [
        Stale(_label(form, name), mine, stale.theirs[name])
        for name, mine in stale.mine.items()
        if mine != stale.theirs[name]
    ]


def _label(form: forms.Form, column: str) -> str:
    field = form.fields.get(FIELD_OF.get(column, column))
    return str(field.label) if field is not None else column


def seen_anew(form: AnyForm, newest: Mapping[str, object]) -> AnyForm:
    """The same form, keeping what was typed, having now seen the newest."""
    data = QueryDict(mutable=True)
    data.update(form.data)
    for name, value in newest.items():
        data[name] = str(value)
    form.data = data
    return form
