"""What stands under a picture: what its lines and hollow marks mean."""

from collections.abc import Sequence
from decimal import Decimal
from functools import singledispatch

from django.utils.translation import gettext as _

from shop.office.drawing.says import Says
from shop.office.drawing.tally import MOST_MARKS
from shop.office.drawings import (
    Control,
    Curves,
    Dot,
    Drawing,
    Intervals,
    Reliability,
    Shares,
    Tally,
    Trends,
)
from shop.shown import figures


def says() -> Says:
    """The pictures' own words in the reader's language."""
    return Says(
        figure=lambda value, places: figures(signed(value, places)),
        turns={
            "ours": _("ours"),
            "customer": _("the customer’s"),
            "supplier": _("a supplier’s"),
            "handover": _("the handover’s"),
        },
        few=_("too few yet"),
    )


def signed(value: float | Decimal, places: int) -> str:
    written = f"{value:.{places}f}"
    return written.replace("-", "−") if float(written) else f"{0:.{places}f}"


@singledispatch
def key(drawing: Drawing) -> str:
    """Sentences for what this picture shows; nothing where it needs none."""
    return ""


@key.register
def _of_tally(drawing: Tally) -> str:
    if sum(map(sum, drawing.cells)) < MOST_MARKS:
        return _("One mark is one ticket.")
    return _("Tickets as numbers: they are too many for marks.")


@key.register
def _of_trends(drawing: Trends) -> str:
    written = says()
    ends = {
        "low": written.tick(drawing.floor),
        "high": written.tick(drawing.ceiling),
        "unit": drawing.unit,
    }
    dots = [dot for trend in drawing.trends for dot in trend.dots]
    return _together(
        _("Each picture runs from %(low)s to %(high)s %(unit)s.") % ends,
        _dashes(drawing.reference, drawing.unit),
        _hollow(dots),
    )


@key.register
def _of_control(drawing: Control) -> str:
    lines = _("Too few yet for limits.")
    if drawing.centre is not None:
        lines = _("Whole line: the centre. Dashes: the limits.")
    boxed = ""
    if any(dot.out for dot in drawing.dots):
        boxed = _("In a box: beyond a limit.")
    unit = _("Figures in %(unit)s.") % {"unit": drawing.unit}
    return _together(unit, lines, boxed, _hollow(drawing.dots))


@key.register
def _of_curves(drawing: Curves) -> str:
    open_ones = ""
    if any(curve.marks for curve in drawing.curves):
        open_ones = _("Small upright: a ticket that is open still.")
    reads = ""
    if drawing.reads and len(drawing.curves) == 1:
        reads = _("Dots: what the sentence reads from the line.")
    band = _("Per cent. The band: where the line may truly lie.")
    return _together(band, open_ones, reads)


@key.register
def _of_intervals(drawing: Intervals) -> str:
    if not any(row.low is not None for row in drawing.rows):
        return _dashes(drawing.reference, drawing.unit)
    band = _("Between the posts: where the value may truly lie.")
    return _together(band, _dashes(drawing.reference, drawing.unit))


@key.register
def _of_shares(_drawing: Shares) -> str:
    return _("The frame is the whole, the ink its part.")


@key.register
def _of_reliability(drawing: Reliability) -> str:
    return _together(
        _("Across: what was said. Up: how often it was so, both in per cent."),
        _("Dashes: said as often as it was so."),
        _hollow(drawing.said),
    )


def _dashes(value: float | None, unit: str) -> str:
    if value is None:
        return ""
    return _("Dashes: %(value)s %(unit)s.") % {
        "value": says().tick(value),
        "unit": unit,
    }


def _hollow(dots: Sequence[Dot]) -> str:
    if any(dot.hollow for dot in dots):
        return _("Hollow: too young or too few to judge.")
    return ""


def _together(*sentences: str) -> str:
    return " ".join(filter(None, sentences))
