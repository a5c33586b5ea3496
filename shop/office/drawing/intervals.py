"""A value with its interval a row, all on one scale. PURE."""

from shop.office.drawing.axes import Plot, foot_line, foot_ticks
from shop.office.drawing.lettering import fitted, width_of
from shop.office.drawing.placing import widest
from shop.office.drawing.says import Says, many
from shop.office.drawing.scales import Scale, inner_ticks
from shop.office.drawing.shapes import DASHED, Disc, Lines, Picture, Shape, Text
from shop.office.drawings import Interval, Intervals

NARROW = 400.0
ROW = 30.0
POST = 5.0


def intervals(drawing: Intervals, width: float, says: Says) -> Picture:
    """Name, n and line in a row; where that is too wide, the words stand above."""
    ns = widest(many(row.n) for row in drawing.rows) + 12
    is_narrow = width < NARROW or _names(drawing) + ns > 0.4 * width
    names = 0.0 if is_narrow else _names(drawing) + ns
    ends = widest(_figures(row, drawing, says) for row in drawing.rows) + 12
    left = names + 7
    right = width - (7 if is_narrow else ends)
    row_high = ROW + 16 if is_narrow else ROW
    foot = 4 + row_high * len(drawing.rows)
    across = Scale(drawing.floor, drawing.ceiling, left, right)
    plot = Plot(across, Scale(0, 1, foot, 0))
    shapes: list[Shape] = []
    for place, row in enumerate(drawing.rows):
        top = 2 + place * row_high
        line = top + 14 if is_narrow else top + ROW / 2 + 5
        name_ends = width - ends if is_narrow else names
        middle = top + (30 if is_narrow else ROW / 2)
        if drawing.reference is not None:
            x = across.at(drawing.reference)
            reach = [(x, middle - (11 if is_narrow else ROW / 2)), (x, top + row_high)]
            shapes.append(Lines([reach], "ink-soft", dash=DASHED))
        shapes += _words(row, _figures(row, drawing, says), line, name_ends, width)
        shapes += _mark(row, across, middle)
    shapes.append(foot_line(plot))
    marks = inner_ticks(drawing.floor, drawing.ceiling)
    shapes += foot_ticks(plot, marks, says, drawing.unit, width)
    return Picture(width, foot + 26, shapes)


def _names(drawing: Intervals) -> float:
    return widest(row.label for row in drawing.rows)


def _figures(row: Interval, drawing: Intervals, says: Says) -> str:
    """The value, and from where to where it may lie."""
    if row.value is None:
        return says.few
    value = says.value(row.value, drawing.ceiling)
    if row.low is None or row.high is None:
        return value
    low, high = (says.value(end, drawing.ceiling) for end in (row.low, row.high))
    return f"{value} ({low}–{high})"


def _words(
    row: Interval, figures: str, line: float, ends: float, width: float
) -> list[Shape]:
    """Name and n up to ``ends``; the figures at the right edge."""
    n = many(row.n)
    name = fitted(row.label, ends - width_of(n) - 14)
    ink = "ink-soft" if row.value is None else "ink"
    return [
        Text(0, line, name),
        Text(width_of(name) + 6, line, n, "ink-soft"),
        Text(width, line, figures, ink, anchor="end"),
    ]


def _mark(row: Interval, across: Scale, y: float) -> list[Shape]:
    shapes: list[Shape] = []
    if row.low is not None and row.high is not None:
        low, high = across.at(row.low), across.at(row.high)
        posts = [[(x, y - POST), (x, y + POST)] for x in (low, high)]
        shapes.append(Lines([[(low, y), (high, y)], *posts], "ink", thick=2))
    if row.value is not None:
        shapes.append(Disc(across.at(row.value), y, 5, fill="ink"))
    return shapes
