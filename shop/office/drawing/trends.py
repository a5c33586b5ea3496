"""Small pictures beside each other, all on one scale. PURE."""

from shop.office.drawing.axes import Plot, foot_line, reference
from shop.office.drawing.dots import Placed, joined, ring_of, spread
from shop.office.drawing.lettering import fitted, width_of
from shop.office.drawing.placing import Room, held_within
from shop.office.drawing.says import Says, many
from shop.office.drawing.scales import Scale
from shop.office.drawing.shapes import Frame, Picture, Shape, Text
from shop.office.drawings import Trend, Trends

GAP = 20.0
LEAST_WIDE = 100.0
HEAD, HIGH, FOOT = 40.0, 76.0, 24.0


def trends(drawing: Trends, width: float, says: Says) -> Picture:
    """As many in a row as have room, four at most."""
    fit = int((width + GAP) / (LEAST_WIDE + GAP))
    rows = -(-len(drawing.trends) // max(1, min(4, fit))) or 1
    in_a_row = -(-len(drawing.trends) // rows) or 1
    wide = (width - (in_a_row - 1) * GAP) / in_a_row
    if len(drawing.trends) == 1:
        wide = min(width, 260.0)
    shapes: list[Shape] = []
    for place, trend in enumerate(drawing.trends):
        row, column = divmod(place, in_a_row)
        left, top = column * (wide + GAP), row * (HEAD + HIGH + FOOT + 14)
        shapes += _one(trend, drawing, Frame(left, top, left + wide, 0), says)
    return Picture(width, rows * (HEAD + HIGH + FOOT + 14), shapes)


def _one(trend: Trend, drawing: Trends, at: Frame, says: Says) -> list[Shape]:
    """Name and n, the plot, and the first and last label under it."""
    wide = at.right - at.left
    foot = at.top + HEAD + HIGH
    across = Scale(0, 1, at.left + 5, at.right - 5)
    down = Scale(drawing.floor, drawing.ceiling, foot - 6, foot - HIGH + 6)
    plot = Plot(across, down)
    line = Plot(Scale(0, 1, at.left, at.right), Scale(0, 1, foot, at.top))
    room = Room(Frame(at.left, at.top, at.right, foot + FOOT))
    _name(trend, at, wide, room)
    xs = spread(len(trend.dots), across.start, across.end)
    placed: list[Placed | None] = [
        None if dot.value is None else (dot, (x, plot.down.at(dot.value)))
        for x, dot in zip(xs, trend.dots, strict=True)
    ]
    shapes: list[Shape] = [foot_line(line)]
    if drawing.reference is not None:
        band = Plot(line.across, down)
        shapes.append(reference(band, drawing.reference))
    shapes += joined(placed)
    _value(placed, room, plot, drawing, says)
    _ends(trend, room, foot + 18, at)
    if not any(placed):
        room.place(Text(at.left, foot - HIGH / 2, fitted(says.few, wide), "ink-soft"))
    return [*shapes, *room.texts]


def _name(trend: Trend, at: Frame, wide: float, room: Room) -> None:
    """Name and n in one line where they fit, else under each other."""
    name = fitted(trend.label, wide, bold=True)
    line = at.top + 14
    room.place(Text(at.left, line, name, bold=True), air=0)
    after = at.left + width_of(name, bold=True) + 6
    n = Text(after, line, many(trend.n), "ink-soft")
    if not room.place(n, air=0):
        room.place(Text(at.left, line + 18, n.words, "ink-soft"), air=0)


def _value(
    placed: list[Placed | None], room: Room, plot: Plot, drawing: Trends, says: Says
) -> None:
    """The newest that is old enough: above its dot, or where no dashes cross it."""
    sure = [one for one in placed if one and not one[0].hollow]
    if not sure:
        return
    dot, (x, y) = sure[-1]
    words = says.value(float(dot.value or 0.0), drawing.ceiling)
    left, _top, right, _foot = room.bounds
    ways = [
        held_within(Text(x, y + by, words, bold=True, anchor="middle"), left, right)
        for by in (-10, 21)
    ]
    if drawing.reference is not None:
        dashes = plot.down.at(drawing.reference)
        line = Frame(left, dashes - 1, right, dashes + 1)
        ways.sort(key=lambda way: way.frame.meets(line))
    room.keep_free(ring_of(one) for one in placed if one and one[0] is not dot)
    room.place(*ways, air=0)


def _ends(trend: Trend, room: Room, line: float, at: Frame) -> None:
    if not trend.dots:
        return
    last = Text(at.right, line, trend.dots[-1].label, "ink-soft", anchor="end")
    room.place(last)
    if len(trend.dots) > 1:
        room.place(Text(at.left, line, trend.dots[0].label, "ink-soft"))
