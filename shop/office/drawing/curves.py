"""Shares over time as steps with their bands, a plot a group. PURE."""

from collections.abc import Sequence
from itertools import pairwise

from shop.office.drawing.axes import Plot, foot_line, foot_ticks, side_ticks
from shop.office.drawing.lettering import fitted, width_of
from shop.office.drawing.placing import Room, held_within, widest
from shop.office.drawing.says import Says, many
from shop.office.drawing.scales import Scale, ticks
from shop.office.drawing.shapes import (
    DOTTED,
    Area,
    Frame,
    Lines,
    Picture,
    Point,
    Shape,
    Text,
)
from shop.office.drawings import Curve, Curves, Step

NARROW = 400.0
HEAD, HIGH, FOOT = 28.0, 130.0, 34.0
GAP = 24.0
SIDE = (0.0, 50.0, 100.0)


def curves(drawing: Curves, width: float, says: Says) -> Picture:
    """One under the other where it is narrow, else two in a row."""
    many_in_a_row = 1 if width < NARROW or len(drawing.curves) == 1 else 2
    wide = (width - (many_in_a_row - 1) * GAP) / many_in_a_row
    marks = ticks(0, _longest(drawing), 5 if wide > 300 else 4)
    high = HEAD + HIGH + FOOT
    shapes: list[Shape] = []
    for place, curve in enumerate(drawing.curves):
        row, column = divmod(place, many_in_a_row)
        at = Frame(column * (wide + GAP), row * high, 0, 0)
        field = Frame(at.left, at.top, at.left + wide, at.top + high)
        shapes += _one(curve, drawing, field, marks, says)
    rows = -(-len(drawing.curves) // many_in_a_row)
    return Picture(width, rows * high, shapes)


def _longest(drawing: Curves) -> float:
    times = [step.at for curve in drawing.curves for step in curve.steps]
    marks = [mark for curve in drawing.curves for mark in curve.marks]
    return max([*times, *marks, 1.0])


def _one(
    curve: Curve, drawing: Curves, at: Frame, marks: Sequence[float], says: Says
) -> list[Shape]:
    side = widest(map(says.tick, SIDE)) + 10
    end = at.right - 10
    foot = at.bottom - FOOT
    plot = Plot(
        Scale(0, marks[-1], at.left + side, end), Scale(0, 100, foot, at.top + HEAD)
    )
    band, line = _stairs(curve.steps, marks[-1])
    shapes: list[Shape] = []
    if band:
        shapes.append(Area([plot.at(*point) for point in band], "hair"))
    shapes += side_ticks(plot, SIDE, says)
    shapes.append(foot_line(plot))
    shapes += _reads(drawing.reads if len(drawing.curves) == 1 else (), plot)
    if line:
        shapes.append(Lines([[plot.at(*point) for point in line]], "ink", thick=2))
    shapes += _open_ones(curve, plot)
    shapes += _within(plot, marks, says, drawing.unit, at)
    n = many(curve.n)
    name = fitted(curve.label, at.right - at.left - width_of(n) - 6, bold=True)
    after = at.left + width_of(name, bold=True) + 6
    shapes.append(Text(at.left, at.top + 14, name, bold=True))
    shapes.append(Text(after, at.top + 14, n, "ink-soft"))
    if len(drawing.curves) == 1:
        shapes += _read_values(drawing.reads, plot, says)
    return shapes


def _within(
    plot: Plot, marks: Sequence[float], says: Says, unit: str, at: Frame
) -> list[Shape]:
    """The time's figures, none of them under a neighbour's plot."""
    ticks_of = foot_ticks(plot, marks, says, unit, at.right)
    return [one for one in ticks_of if one.frame.left >= at.left]


def _stairs(steps: Sequence[Step], until: float) -> tuple[list[Point], list[Point]]:
    """The band's outline and the line, as (time, per cent), from 0 to ``until``."""
    if not steps:
        return [], []
    start = _start(steps)
    first = [] if steps[0].at <= 0 else [Step(0.0, start, start, start)]
    whole = [*first, *steps]
    lows = _treads([(step.at, step.low) for step in whole], until)
    highs = _treads([(step.at, step.high) for step in whole], until)
    line = _treads([(step.at, step.share) for step in whole], until)
    return [*highs, *reversed(lows)], line


def _treads(points: list[Point], until: float) -> list[Point]:
    """From (time, share) to the corners of a stair, in per cent."""
    last = max(until, points[-1][0])
    corners: list[Point] = []
    for (time, share), (following, _next) in pairwise([*points, (last, 0.0)]):
        corners += [(time, share * 100), (following, share * 100)]
    return corners


def share_at(curve: Curve, time: float) -> float:
    """What the stair shows at a time, 0 to 1."""
    before = [step.share for step in curve.steps if step.at <= time]
    if before:
        return before[-1]
    return _start(curve.steps)


def _start(steps: Sequence[Step]) -> float:
    """All or nothing, by whether the stair falls or rises."""
    return 1.0 if steps and steps[-1].share < steps[0].share else 0.0


def _open_ones(curve: Curve, plot: Plot) -> list[Shape]:
    """Where something is open still: a small upright on the line."""
    ticks_of = []
    for time in curve.marks:
        x, y = plot.at(time, share_at(curve, time) * 100)
        ticks_of.append([(x, y - 4), (x, y + 4)])
    return [Lines(ticks_of, "ink", thick=1.5)] if ticks_of else []


def _reads(reads: Sequence[tuple[float, float]], plot: Plot) -> list[Shape]:
    """From the side to the line and down to the time, dotted."""
    lines = []
    for time, share in reads:
        x, y = plot.at(time, share * 100)
        lines.append([(plot.left, y), (x, y), (x, plot.foot)])
    if not lines:
        return []
    return [Lines(lines, "copper", thick=2, dash=DOTTED, is_round=True)]


def _read_values(
    reads: Sequence[tuple[float, float]], plot: Plot, says: Says
) -> list[Shape]:
    """The time that was read, beside where it was read."""
    room = Room(Frame(plot.left, plot.top, plot.right + 10, plot.foot))
    for time, share in reads:
        x, y = plot.at(time, share * 100)
        words = says.tick(round(time, 1))
        ways = (
            Text(x + 6, y + 18, words, bold=True),
            Text(x - 6, y - 6, words, bold=True, anchor="end"),
            Text(x + 6, plot.foot - 6, words, bold=True),
        )
        room.place(*(held_within(way, plot.left, plot.right) for way in ways))
    return list(room.texts)
