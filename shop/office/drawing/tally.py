"""Open tickets by whose turn and age, one mark a ticket. PURE."""

from collections.abc import Sequence
from math import ceil

from shop.office.drawing.grounds import ground
from shop.office.drawing.lettering import fitted, width_of
from shop.office.drawing.placing import widest
from shop.office.drawing.says import Says
from shop.office.drawing.shapes import Lines, Picture, Point, Shape, Text
from shop.office.drawings import Tally

MOST_MARKS = 60  # beyond, a cell is a number
NARROW = 400.0
MARK, APART = 12.0, 15.0
LEAST_HIGH = 34.0


def tally(drawing: Tally, width: float, _says: Says) -> Picture:
    """A row a turn, a column a class of age, the row's sum at the right."""
    names = widest(label for _code, label in drawing.rows)
    is_narrow = width < NARROW
    left = 0.0 if is_narrow else min(names + 16, width / 3)
    sums = widest((str(sum(row)) for row in drawing.cells), bold=True) + 8
    are_marks = sum(map(sum, drawing.cells)) < MOST_MARKS
    columns = _columns(drawing, width - left - sums)
    starts = [left + sum(columns[:place]) for place in range(len(columns))]
    shapes: list[Shape] = [
        Text(x, 14, fitted(head, column - 4), ink="ink-soft")
        for x, column, head in zip(starts, columns, drawing.heads, strict=True)
    ]
    top = 22.0
    for (whose, label), counts in zip(drawing.rows, drawing.cells, strict=True):
        shapes.append(Lines([[(0, top), (width, top)]], "hair", thick=1))
        if is_narrow:
            shapes.append(Text(0, top + 17, fitted(label, width - sums)))
            top += 20
        high = _high(counts, columns) if are_marks else LEAST_HIGH
        line = top + high / 2 + 5
        if not is_narrow:
            shapes.append(Text(0, line, fitted(label, left - 8)))
        shapes.append(Text(width, line, str(sum(counts)), bold=True, anchor="end"))
        for x, column, count in zip(starts, columns, counts, strict=True):
            if are_marks:
                shapes += _marks(whose, count, (x, top), column, high)
            elif count:
                shapes.append(Text(x, line, str(count)))
        top += high
    return Picture(width, top + 2, shapes)


def _in_a_line(column: float) -> int:
    return max(1, int((column - 6) / APART))


def _columns(drawing: Tally, room: float) -> list[float]:
    """As wide as the heads, and as the marks as far as there is room for them."""
    many = len(drawing.heads)
    heads = [width_of(head) + 10 for head in drawing.heads]
    spare = room - sum(heads)
    if spare < 0:
        return [room / many] * many
    most = [
        max((row[place] for row in drawing.cells), default=0) for place in range(many)
    ]
    more = [max(0.0, n * APART + 8 - head) for n, head in zip(most, heads, strict=True)]
    share = min(1.0, spare / sum(more)) if any(more) else 1.0
    rest = (spare - share * sum(more)) / many
    return [head + share * one + rest for head, one in zip(heads, more, strict=True)]


def _high(counts: Sequence[int], columns: Sequence[float]) -> float:
    lines = max(
        (
            ceil(count / _in_a_line(column))
            for count, column in zip(counts, columns, strict=True)
        ),
        default=0,
    )
    return max(LEAST_HIGH, lines * APART + 14)


def _marks(
    whose: str, count: int, at: Point, column: float, high: float
) -> list[Shape]:
    """Filled line by line, the lines in the middle of the row."""
    in_a_line = _in_a_line(column)
    lines = ceil(count / in_a_line)
    first = at[1] + (high - lines * APART) / 2 + 1.5
    shapes: list[Shape] = []
    for place in range(count):
        row, across = divmod(place, in_a_line)
        x, y = at[0] + 1 + across * APART, first + row * APART
        shapes += ground(whose, x, y, MARK, MARK)
    return shapes
