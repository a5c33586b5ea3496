"""The calculators beside a check, and what was kept of them, for the bench page."""

from collections.abc import Iterable
from typing import Any

from diagnostics import calculating, queries, sayings
from diagnostics.engine.calculators.registry import CALCULATORS, serving
from diagnostics.models import Calculation
from diagnostics.place import Place
from diagnostics.walk import Step

NEWEST = 6


def beside(place: Place, step: Step) -> list[dict[str, str]]:
    """The calculators that serve a check, at the point in hand."""
    return [
        {
            "name": sayings.family_text(one.name),
            "url": place.calculator_url(one.id, point=step.point.id),
        }
        for one in serving(step.check.id)
    ]


def newest(place: Place) -> dict[str, Any]:
    """The newest kept of a board, and the way to all calculators."""
    rows = queries.calculations_of(place.board)[:NEWEST]
    return {"kept": kept(place, rows), "url": place.calculators_url}


def kept(place: Place, rows: Iterable[Calculation]) -> list[dict[str, Any]]:
    """Kept calculations with their first figure, and the way to look at each."""
    return [
        {
            "name": sayings.family_text(calculator.name),
            "figure": next(iter(calculating.figures(calculator, row.result)), None),
            "by": row.by.name,
            "at": row.at,
            "is_reading": row.reading_id is not None,
            "url": place.calculator_url(
                row.calculator_id,
                point=row.point_id,
                **{k: v for k, v in row.typed.items() if v},
            ),
        }
        for row in rows
        if (calculator := CALCULATORS.get(row.calculator_id))
    ]
