"""Doing an act that a form asks for, and saying beside it what was refused."""

from collections.abc import Callable

from django import forms

from diagnostics import words
from diagnostics.engine.errors import EngineError
from shop.records.errors import Refused


def done(form: forms.Form, act: Callable[[], object], *, typed: str = "") -> bool:
    """Do the act; what it refuses stands beside the field where it belongs."""
    try:
        act()
    except Refused as refused:
        field = refused.field if refused.field in form.fields else None
        form.add_error(field, str(refused))
    except EngineError as error:
        form.add_error(
            typed if typed in form.fields else None, words.error_sentence(error)
        )
    return not form.errors
