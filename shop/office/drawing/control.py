"""A weekly figure between its control limits. PURE."""

from collections.abc import Iterable

from shop.office.drawing.axes import Plot, foot_line, side_ticks
from shop.office.drawing.dots import Placed, joined, ring_of, spread
from shop.office.drawing.placing import Room, held_within, labels_under, widest
from shop.office.drawing.says import Says, many
from shop.office.drawing.scales import Scale, ticks
from shop.office.drawing.shapes import DASHED, Frame, Lines, Picture, Rect, Shape, Text
from shop.office.drawings import Control

HIGH = 150.0
FOOT = 46.0  # two lines: the week, its n
RING = 7.0


def control(drawing: Control, width: float, says: Says) -> Picture:
    """Centre whole, limits dashed with their figures, what is beyond in a box."""
    values = [dot.value for dot in drawing.dots if dot.value is not None]
    limits = [
        one for one in (drawing.low, drawing.centre, drawing.high) if one is not None
    ]
    marks = ticks(min([*values, *limits, 0.0]), max([*values, *limits, 1.0]), 5)
    written = {one: says.value(one, marks[-1]) for one in limits}
    left = widest(map(says.tick, marks)) + 10
    right = width - (widest(written.values(), bold=True) + 10 if limits else 8)
    plot = Plot(Scale(0, 1, left, right), Scale(marks[0], marks[-1], 12 + HIGH, 12))
    shapes = [*side_ticks(plot, marks, says), *_limits(drawing, plot)]
    xs = spread(len(drawing.dots), left + 8, right - 8)
    placed: list[Placed | None] = [
        None if dot.value is None else (dot, (x, plot.down.at(dot.value)))
        for x, dot in zip(xs, drawing.dots, strict=True)
    ]
    shapes += [foot_line(plot), *_boxes(placed), *joined(placed)]
    room = Room(Frame(0, 0, width, plot.foot + FOOT))
    room.keep_free(shape.frame for shape in shapes if isinstance(shape, Text))
    _figures(drawing, plot, written, room)
    _values(placed, marks[-1], room, says, right)
    _weeks(drawing, xs, plot, room, width)
    return Picture(width, plot.foot + FOOT, [*shapes, *room.texts])


def _limits(drawing: Control, plot: Plot) -> list[Shape]:
    shapes: list[Shape] = []
    for value in (drawing.low, drawing.high):
        if value is not None:
            y = plot.down.at(value)
            ends = [(plot.left, y), (plot.right, y)]
            shapes.append(Lines([ends], "ink", dash=DASHED))
    if drawing.centre is not None:
        y = plot.down.at(drawing.centre)
        shapes.append(Lines([[(plot.left, y), (plot.right, y)]], "ink", thick=1))
    return shapes


def _boxes(placed: Iterable[Placed | None]) -> list[Shape]:
    """Around what lies beyond a limit."""
    return [
        Rect(x - RING, y - RING, 2 * RING, 2 * RING, fill="sheet", edge="oxblood")
        for dot, (x, y) in filter(None, placed)
        if dot.out
    ]


def _figures(
    drawing: Control, plot: Plot, written: dict[float, str], room: Room
) -> None:
    """At the right end of their lines; the centre's goes before."""
    for value in (drawing.centre, drawing.high, drawing.low):
        if value is not None:
            y = min(plot.down.at(value) + 5, plot.foot)
            bold = value == drawing.centre
            room.place(Text(plot.right + 8, y, written[value], bold=bold))


def _values(
    placed: list[Placed | None], widest_value: float, room: Room, says: Says, end: float
) -> None:
    """What lies beyond, and the newest, above or under its dot."""
    there = [one for one in placed if one]
    newest = [one for one in there if not one[0].hollow][-1:]
    for dot, (x, y) in [*(one for one in there if one[0].out), *newest]:
        words = says.value(float(dot.value or 0.0), widest_value)
        ways = [
            held_within(Text(x, y + by, words, bold=True, anchor="middle"), 0, end)
            for by in (-12, 23)
        ]
        ways.sort(key=lambda way: sum(way.frame.meets(ring_of(one)) for one in there))
        room.place(*ways, air=0)


def _weeks(
    drawing: Control, xs: list[float], plot: Plot, room: Room, width: float
) -> None:
    """Under the line: the weeks that have room, each with its n."""
    words = [max(dot.label, many(dot.n), key=len) for dot in drawing.dots]
    for place in labels_under(list(zip(xs, words, strict=True)), 0, 0, width):
        dot, x = drawing.dots[place], xs[place]
        week = Text(x, plot.foot + 20, dot.label, anchor="middle")
        n = Text(x, plot.foot + 38, many(dot.n), "ink-soft", anchor="middle")
        for text in (week, n):
            room.place(held_within(text, 0, width))
