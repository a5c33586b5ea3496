"""What was said against how often it was so. PURE."""

from shop.office.drawing.axes import Plot, foot_line, foot_ticks, side_ticks
from shop.office.drawing.dots import RADIUS, dot
from shop.office.drawing.placing import Room, widest
from shop.office.drawing.says import Says, many
from shop.office.drawing.scales import Scale
from shop.office.drawing.shapes import DASHED, Frame, Lines, Picture, Shape, Text
from shop.office.drawings import Reliability

LARGEST = 300.0
SIDE = (0.0, 25.0, 50.0, 75.0, 100.0)
FOOT = (0.0, 25.0, 50.0, 75.0, 100.0)


def reliability(drawing: Reliability, width: float, says: Says) -> Picture:
    """A square, so that what came true as often as it was said lies on its diagonal."""
    left = widest(map(says.tick, SIDE)) + 10
    side = min(LARGEST, width - left - 24)
    plot = Plot(Scale(0, 100, left, left + side), Scale(0, 100, 12 + side, 12))
    shapes: list[Shape] = [
        *side_ticks(plot, SIDE, says),
        Lines([[plot.at(0, 0), plot.at(100, 100)]], "ink-soft", dash=DASHED),
        foot_line(plot),
        *foot_ticks(plot, FOOT, says, "%", width),
    ]
    places = [
        (one, plot.at(at, one.value))
        for one, at in zip(drawing.said, drawing.at, strict=True)
        if one.value is not None
    ]
    room = Room(Frame(plot.left, 0, width, plot.foot))
    room.keep_free(
        Frame(x - RADIUS, y - RADIUS, x + RADIUS, y + RADIUS) for _one, (x, y) in places
    )
    for one, (x, y) in places:
        shapes.append(dot(one, (x, y)))
        n = many(one.n)
        before, after = (
            Text(x - 8, y - 6, n, anchor="end"),
            Text(x + 8, y + 14, n),
        )
        is_above = y < plot.foot - (x - plot.left)
        first, second = (before, after) if is_above else (after, before)
        room.place(
            first, second, Text(x + 8, y - 6, n), Text(x - 8, y + 14, n, anchor="end")
        )
    return Picture(width, plot.foot + 26, [*shapes, *room.texts])
