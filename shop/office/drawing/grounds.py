"""Whose turn it is as a ground: solid, hatched, dotted, open with a thick foot. PURE.

Drawn line by line and cut at the box, so that screen and paper show the same and no
pattern needs a name.
"""

from collections.abc import Iterator

from shop.office.drawing.shapes import Lines, Point, Rect, Shape

HATCH_APART = 7.0
DOTS_APART = 5.0
INSET = 1.5


def ground(whose: str, x: float, y: float, width: float, height: float) -> list[Shape]:
    """A box in the pattern of a turn; nobody's is a plain line."""
    if whose == "ours":
        return [Rect(x, y, width, height, fill="ink", edge="ink")]
    if whose not in {"customer", "supplier", "handover"}:
        middle = y + height / 2
        return [Lines([[(x, middle), (x + width, middle)]], "ink")]
    inner = (x + INSET, y + INSET, width - 2 * INSET, height - 2 * INSET)
    box = Rect(x, y, width, height, fill="lit", edge="ink")
    return [box, *_pattern(whose, *inner)] if inner[2] > 0 < inner[3] else [box]


def _pattern(
    whose: str, x: float, y: float, width: float, height: float
) -> list[Shape]:
    if whose == "customer":
        lines = list(hatches(x, y, width, height))
        return [Lines(lines, "copper", thick=2)] if lines else []
    if whose == "supplier":
        points = list(dots(x, y, width, height))
        return [Lines(points, "slate", thick=2.4, is_round=True)] if points else []
    foot = y + height - 1
    return [Lines([[(x + 1, foot), (x + max(width - 1, 1), foot)]], "teal", thick=3)]


def hatches(
    x: float, y: float, width: float, height: float
) -> Iterator[tuple[Point, Point]]:
    """Lines at 45 degrees, rising to the right, each cut at the box."""
    offset = HATCH_APART / 2
    while offset < width + height:
        left = (x + max(0.0, offset - height), y + min(offset, height))
        right = (x + min(offset, width), y + max(0.0, offset - width))
        if right[0] - left[0] >= 1:
            yield left, right
        offset += HATCH_APART


def dots(
    x: float, y: float, width: float, height: float
) -> Iterator[tuple[Point, Point]]:
    """Dots as lines of next to no length, with round ends, 1 px inside the box."""
    across = max(1, int((width - 2) / DOTS_APART) + 1)
    down = max(1, int((height - 2) / DOTS_APART) + 1)
    left = x + (width - (across - 1) * DOTS_APART) / 2
    top = y + (height - (down - 1) * DOTS_APART) / 2
    for row in range(down):
        for column in range(across):
            at = (left + column * DOTS_APART, top + row * DOTS_APART)
            yield at, (at[0] + 0.01, at[1])
