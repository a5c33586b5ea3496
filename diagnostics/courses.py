"""Courses of a reading: what it does over time, and the numbers that belong to it.

A supply at its limit is never kept as plain amperes: what counts is how far its
volts have fallen.
"""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from diagnostics.engine import quantities
from diagnostics.engine.family import Check, Point
from diagnostics.figures import show
from diagnostics.words.values import category_name, span

VOLTS = "V"
AT_LIMIT = "at_limit"
# What each course is asked for besides its name; None: in the point's own unit.
ASKS: Mapping[str, Mapping[str, str | None]] = {
    "hunting": {"low": None, "high": None},
    "cycling": {"low": None, "high": None},
    AT_LIMIT: {"fallen_to": VOLTS},
    "steps": {"stuck_at": None},
    "stuck": {"stuck_at": None},
}
NAMES = {
    "low": gettext_lazy("lowest"),
    "high": gettext_lazy("highest"),
    "fallen_to": gettext_lazy("volts fallen to"),
    "stuck_at": gettext_lazy("stuck at"),
}


def has_own_numbers(check: Check, kind: str) -> bool:
    """Whether such a course stands for itself, with numbers instead of a value."""
    return kind in ASKS and bool(check.patterns.get(kind))


def read(point: Point, typed: Mapping[str, Any], plain: str) -> dict[str, Any]:
    """The course with its numbers in SI units, as far as they were typed.

    ``plain`` is what stands in the reading's own field: of a supply at its limit
    that is the limit, else the first number that is still missing. Raises
    ``TypedValueError``.
    """
    kind = str(typed["kind"])
    asked, said = ASKS[kind], dict(typed)
    if plain.strip():
        name = "limit" if kind == AT_LIMIT else _first_missing(asked, typed)
        said.setdefault(name, plain)
    units = {**asked, "limit": None}
    numbers = {
        name: quantities.parse(str(said[name]), unit or point.unit).value
        for name, unit in units.items()
        if said.get(name)
    }
    return {"kind": kind, **_in_order(numbers)}


def said(course: Mapping[str, Any], unit: str) -> list[str]:
    """The numbers of a course in words: "20 mA to 0.4 A", "fallen to 1.2 V"."""
    shown = [span(course.get("low"), course.get("high"), unit)]
    for name, sentence, its_unit in (
        ("fallen_to", _("fallen to {value}"), VOLTS),
        ("stuck_at", _("stuck at {value}"), unit),
    ):
        if course.get(name) is not None:
            shown.append(sentence.format(value=show(course[name], its_unit)))
    return [text for text in shown if text]


def on_card(check: Check, unit: str) -> list[dict[str, Any]]:
    """Each course that a check may take, with the numbers that it asks for."""
    return [
        {
            "value": kind,
            "label": category_name(kind),
            "asks": [
                {"name": name, "label": NAMES[name], "unit": own or unit}
                for name, own in ASKS.get(kind, {}).items()
            ]
            if has_own_numbers(check, kind)
            else [],
        }
        for kind in check.patterns
    ]


def _first_missing(asked: Mapping[str, str | None], typed: Mapping[str, Any]) -> str:
    return next((name for name in asked if not typed.get(name)), next(iter(asked)))


def _in_order(numbers: dict[str, float | None]) -> dict[str, float | None]:
    """Lowest and highest, whichever was typed first."""
    low, high = numbers.get("low"), numbers.get("high")
    if low is not None and high is not None and low > high:
        return {**numbers, "low": high, "high": low}
    return numbers
