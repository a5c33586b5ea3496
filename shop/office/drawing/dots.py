"""Dots over time and the lines between them. PURE."""

from collections.abc import Sequence
from itertools import pairwise

from shop.office.drawing.shapes import DOTTED, Disc, Frame, Lines, Point, Shape
from shop.office.drawings import Dot

RADIUS = 4.0
Placed = tuple[Dot, Point]


def joined(placed: Sequence[Placed | None]) -> list[Shape]:
    """Whole lines between dots, dotted to and from what is too young; gaps stay."""
    whole: list[list[Point]] = []
    young: list[list[Point]] = []
    for one, other in pairwise(placed):
        if one is None or other is None:
            continue
        is_young = one[0].hollow or other[0].hollow
        (young if is_young else whole).append([one[1], other[1]])
    shapes: list[Shape] = []
    if whole:
        shapes.append(Lines(whole, "ink"))
    if young:
        shapes.append(Lines(young, "ink", dash=DOTTED, is_round=True, thick=2))
    return [*shapes, *(dot(*one) for one in placed if one is not None)]


def dot(what: Dot, at: Point) -> Disc:
    if what.hollow:
        return Disc(*at, RADIUS - 0.5, fill="sheet", edge="ink")
    return Disc(*at, RADIUS, fill="ink")


def ring_of(placed: Placed) -> Frame:
    """The place that a dot takes up."""
    x, y = placed[1]
    return Frame(x - RADIUS, y - RADIUS, x + RADIUS, y + RADIUS)


def spread(count: int, left: float, right: float) -> list[float]:
    """Even places from left to right; one alone stands in the middle."""
    if count == 1:
        return [(left + right) / 2]
    apart = (right - left) / max(1, count - 1)
    return [left + place * apart for place in range(count)]
