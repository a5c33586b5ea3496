"""Quantities as the reader's language writes them.

What is typed again (a field's start, a reading's ``typed``) stays as the engine shows
it, which the engine reads without a doubt.
"""

from diagnostics.engine import quantities
from shop.shown import figures


def show(value: float, unit: str, digit: float | None = None) -> str:
    """The engine's ``show``, by the language's decimal mark.

    >>> from django.utils.translation import override
    >>> with override("de"):
    ...     show(3470.0, "ohm").replace("\\xa0", " ")
    '3,47 kΩ'
    """
    return figures(quantities.show(value, unit, digit))
