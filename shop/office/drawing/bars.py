"""Bars of days by whose turn, and bars that are filled in part. PURE."""

from collections.abc import Sequence
from itertools import accumulate

from shop.office.drawing.grounds import ground
from shop.office.drawing.lettering import fitted, width_of
from shop.office.drawing.placing import widest
from shop.office.drawing.says import Says
from shop.office.drawing.shapes import Picture, Rect, Shape, Text
from shop.office.drawings import Share, Shares, TurnBar, TurnBars

NARROW = 400.0
HIGH = 24.0  # a bar
LINE = 20.0  # a line of words
GAP = 12.0
MARK = (24.0, 16.0)
TURNS = ("ours", "customer", "supplier", "handover")
PATTERNED = {"customer", "supplier"}


def turn_bars(drawing: TurnBars, width: float, says: Says) -> Picture:
    """Where it is narrow, each bar's words stand on a line of their own above it."""
    shapes, top = legend(_turns_in(drawing), width, says)
    columns = _columns(drawing)
    is_narrow = width < NARROW
    if drawing.heads:
        top += LINE
        shapes += _notes(drawing.heads, columns, width, top - 6, bold=False, soft=True)
    names = [bar.label for bar in drawing.bars]
    left = 0.0 if is_narrow else min(widest(names, bold=True) + GAP, width / 3)
    room = width - left - (0.0 if is_narrow else sum(columns))
    longest = max((_length(bar) for bar in drawing.bars), default=0.0)
    for bar in drawing.bars:
        line = top + 16 if is_narrow else top + HIGH / 2 + 5
        name_room = width - sum(columns) - GAP if is_narrow else left - GAP
        name = fitted(bar.label, name_room, bold=bar.now)
        shapes.append(Text(0, line, name, bold=bar.now))
        shapes += _notes(bar.notes, columns, width, line, bold=bar.now)
        top += LINE + 2 if is_narrow else 0.0
        scale = (room - 2) / longest if longest else 0.0
        shapes += _stacked(bar, left + 1, top, scale, says)
        high = HIGH if bar.parts or not is_narrow else 0.0
        top += high + (14 if is_narrow else GAP)
    return Picture(width, top, shapes)


def legend(turns: Sequence[str], width: float, says: Says) -> tuple[list[Shape], float]:
    """Marks with their words in rows, and where they end."""
    shapes: list[Shape] = []
    x, top = 1.0, 1.0
    for turn in turns:
        words = says.turns[turn]
        needs = MARK[0] + 8 + width_of(words)
        if x > 1 and x + needs > width:
            x, top = 1.0, top + LINE + 2
        shapes += ground(turn, x, top, *MARK)
        shapes.append(Text(x + MARK[0] + 8, top + 13, words))
        x += needs + 18
    return shapes, top + LINE + 6 if turns else 0.0


def _turns_in(drawing: TurnBars) -> list[str]:
    there = {part.whose for bar in drawing.bars for part in bar.parts if part.value}
    return [turn for turn in TURNS if turn in there]


def _length(bar: TurnBar) -> float:
    return sum(part.value for part in bar.parts)


def _columns(drawing: TurnBars) -> list[float]:
    """How wide each column of notes is, its gap with it."""
    rows = [bar.notes for bar in drawing.bars]
    many = max((len(row) for row in [*rows, drawing.heads]), default=0)
    return [
        GAP
        + max(
            widest(drawing.heads[place : place + 1]),
            widest((row[place] for row in rows if place < len(row)), bold=True),
        )
        for place in range(many)
    ]


def _notes(
    notes: Sequence[str],
    columns: Sequence[float],
    width: float,
    line: float,
    *,
    bold: bool,
    soft: bool = False,
) -> list[Shape]:
    """Right-aligned in their columns; the first, which is the mean, in bold."""
    ends = [width - sum(columns) + end for end in accumulate(columns)]
    return [
        Text(
            end,
            line,
            words,
            ink="ink-soft" if soft else "ink",
            bold=bold or (place == 0 and not soft),
            anchor="end",
        )
        for place, (words, end) in enumerate(zip(notes, ends, strict=False))
    ]


def _stacked(
    bar: TurnBar, left: float, top: float, scale: float, says: Says
) -> list[Shape]:
    shapes: list[Shape] = []
    x = left
    for part in bar.parts:
        length = part.value * scale
        if length < 1:
            x += length
            continue
        shapes += ground(part.whose, x, top, length, HIGH)
        shapes += _value(says.figure(part.value, 1), part.whose, x, top, length)
        x += length
    return shapes


def _value(words: str, whose: str, x: float, top: float, length: float) -> list[Shape]:
    """Written in the piece where it fits, on a lit patch over a pattern."""
    ink = "lit" if whose == "ours" else "ink"
    text = Text(x + length / 2, top + 17, words, ink=ink, bold=True, anchor="middle")
    if text.width + (10 if whose in PATTERNED else 4) > length:
        return []
    if whose in PATTERNED:
        return [Rect(text.frame.left - 3, top + 4, text.width + 6, 16, "lit"), text]
    return [text]


def shares(drawing: Shares, width: float, _says: Says) -> Picture:
    """The whole as a frame, its part in ink, what it says behind it."""
    names = widest(row.label for row in drawing.rows) + GAP
    said = widest((row.says for row in drawing.rows), bold=True) + 10
    is_stacked = names + said > 0.6 * width
    left = 0.0 if is_stacked else names
    room = width - left - 2 - (0.0 if is_stacked else said)
    longest = max((row.whole for row in drawing.rows), default=0.0)
    shapes: list[Shape] = []
    top = 2.0
    for row in drawing.rows:
        scale = room / longest if longest else 0.0
        if is_stacked:
            free = width - width_of(row.says, bold=True) - GAP
            shapes += [
                Text(0, top + 14, fitted(row.label, free)),
                Text(width, top + 14, row.says, bold=True, anchor="end"),
            ]
            top += LINE
        bar = _filled(row, left + 1, top, scale)
        shapes += bar
        if not is_stacked:
            end = max((shape.frame.right for shape in bar), default=left)
            shapes += [
                Text(0, top + 13, fitted(row.label, left - GAP)),
                Text(end + 8, top + 13, row.says, bold=True),
            ]
        top += 30 if is_stacked else 28
    return Picture(width, top, shapes)


def _filled(row: Share, left: float, top: float, scale: float) -> list[Shape]:
    whole, part = row.whole * scale, min(row.part, row.whole) * scale
    if whole < 1:
        return []
    frame = Rect(left, top, whole, 16, fill="lit", edge="ink")
    return [frame, *([Rect(left, top, part, 16, fill="ink")] if part > 0 else [])]
