"""Dates and numbers as a reader's language writes them.

Figures that a program reads (files, scripts, drawings, fields) stay as they are.
"""

import re
from collections.abc import Mapping
from datetime import date, datetime, time
from typing import TYPE_CHECKING

from django.utils import formats
from django.utils.translation import pgettext_lazy

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise as Text

MARK = re.compile(r"(?<=\d)\.(?=\d)")
# Django's letters. A language says here where its dots and commas stand.
PATTERNS: "Mapping[str, Text]" = {
    "D j M": pgettext_lazy("date format", "D j M"),
    "D j M, H:i": pgettext_lazy("date format", "D j M, H:i"),
    "D G:i": pgettext_lazy("date format", "D G:i"),
    "D H:i": pgettext_lazy("date format", "D H:i"),
    "j F": pgettext_lazy("date format", "j F"),
    "j F Y": pgettext_lazy("date format", "j F Y"),
    "j F Y, H:i": pgettext_lazy("date format", "j F Y, H:i"),
    "j F, H:i": pgettext_lazy("date format", "j F, H:i"),
    "j M": pgettext_lazy("date format", "j M"),
    "j M H:i": pgettext_lazy("date format", "j M H:i"),
    "j M Y": pgettext_lazy("date format", "j M Y"),
    "j M Y, H:i": pgettext_lazy("date format", "j M Y, H:i"),
    "j M, H:i": pgettext_lazy("date format", "j M, H:i"),
    "l j F": pgettext_lazy("date format", "l j F"),
    "l j F Y": pgettext_lazy("date format", "l j F Y"),
    "l j F, H:i": pgettext_lazy("date format", "l j F, H:i"),
}


def date_format(value: date | datetime | time, pattern: str) -> str:
    """A moment by one of ``PATTERNS``, as the language writes it; or by any other."""
    how = str(PATTERNS.get(pattern, pattern))
    return formats.date_format(value, how)  # type: ignore[arg-type]  # times too


def figures(text: str) -> str:
    """A text of ours with figures in it, by the language's decimal mark.

    >>> from django.utils.translation import override
    >>> with override("de"):
    ...     figures("3.47 kΩ – 78 kΩ")
    '3,47 kΩ – 78 kΩ'
    """
    return MARK.sub(decimal_mark(), text)


def decimal_mark() -> str:
    return str(formats.get_format("DECIMAL_SEPARATOR"))
