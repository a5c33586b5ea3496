"""Where lines and labels lie on a board's picture, as values for the template.

Places are in per cent of the picture, labels in pixels from there, so that text keeps
its size however wide the picture is shown. Labels make way for each other as they would
lie on a picture ``NOMINAL`` pixels wide.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from diagnostics import finder_words as words
from diagnostics import sayings
from diagnostics.finder import COLUMNS, ROWS, Face, Finding, GroupSeen
from diagnostics.models import BoardMark, BoardOutline

NOMINAL = 740.0
LETTER, HEIGHT = 7.2, 27.0  # pixels of a letter on average, and of a label
GAP = 0.024  # parts of the width between inductors and the frame round them
OUTLINES = {
    BoardOutline.WIDE: "M40 40H1160V760H40Z",
    BoardOutline.SQUARE: "M40 40H960V960H40Z",
    BoardOutline.NOTCH_LEFT: "M40 40H1160V760H430V510H40Z",
    BoardOutline.NOTCH_RIGHT: "M40 40H1160V510H770V760H40Z",
}
Drawn = dict[str, Any]
Offset = tuple[float, float]


@dataclass(frozen=True)
class Rect:
    """Pixels on the nominal picture."""

    left: float
    top: float
    width: float
    height: float

    def meets(self, other: "Rect") -> bool:
        return (
            self.left < other.left + other.width
            and other.left < self.left + self.width
            and self.top < other.top + other.height
            and other.top < self.top + self.height
        )


@dataclass
class Sheet:
    """The nominal picture, and what already lies on it."""

    height: float
    taken: list[Rect] = field(default_factory=list)

    def lay(
        self, x: float, y: float, width: float, offsets: Sequence[Offset]
    ) -> Offset:
        """The first offset from (x, y) at which a label meets nothing."""
        for dx, dy in offsets:
            label = Rect(x + dx, y + dy, width, HEIGHT)
            if self._is_free(label):
                self.taken.append(label)
                return dx, dy
        dx, dy = offsets[0]
        self.taken.append(Rect(x + dx, y + dy, width, HEIGHT))
        return dx, dy

    def _is_free(self, label: Rect) -> bool:
        is_inside = (
            label.left >= 0
            and label.top >= 0
            and label.left + label.width <= NOMINAL
            and label.top + label.height <= self.height
        )
        return is_inside and not any(label.meets(one) for one in self.taken)


def drawing(finding: Finding, face: Face, chosen: GroupSeen | None) -> Drawn:
    """All that is drawn over one side's picture."""
    sheet = Sheet(NOMINAL * face.picture.height / face.picture.width)
    groups = [one for one in finding.groups if one.face.side is face.side]
    frames = [(one, frame_of(face, one)) for one in groups]
    for _one, (left, top, width, height) in frames:
        sheet.taken.append(
            Rect(
                left * NOMINAL,
                top * sheet.height,
                width * NOMINAL,
                height * sheet.height,
            )
        )
    return {
        "outline": OUTLINES.get(BoardOutline(face.picture.outline))
        if face.picture.outline
        else "",
        "inductors": [
            spot(mark.x, mark.y, look=mark.look)
            for mark in of_kind(face, BoardMark.Kind.INDUCTOR)
        ],
        "frames": [
            _frame(finding, sheet, one, frame, is_chosen=one is chosen)
            for one, frame in frames
        ],
        "landmarks": [
            _labelled(sheet, mark, str(words.SHORT[BoardMark.Kind(mark.kind)]))
            for mark in landmarks(face)
        ],
        "points": [
            _labelled(sheet, mark, point_name(finding, mark))
            for mark in of_kind(face, BoardMark.Kind.POINT)
        ],
        "faint": list(faint(finding, face)),
        "columns": list(named_cells(COLUMNS)),
        "rows": list(named_cells(ROWS)),
    }


def named_cells(names: str) -> Iterable[Drawn]:
    """The middle of each column or row of the grid that cells are named by."""
    for number, name in enumerate(names):
        yield {"name": name, "at": per_cent((number + 0.5) / len(names))}


def of_kind(face: Face, kind: str) -> Iterable[BoardMark]:
    return (mark for mark in face.marks if mark.kind == kind)


def landmarks(face: Face) -> Iterable[BoardMark]:
    others = {BoardMark.Kind.INDUCTOR, BoardMark.Kind.POINT}
    return (mark for mark in face.marks if mark.kind not in others)


def spot(x: float, y: float, **more: object) -> Drawn:
    return {"x": per_cent(x), "y": per_cent(y), **more}


def per_cent(part: float) -> str:
    return f"{100 * part:.2f}%"


def frame_of(face: Face, one: GroupSeen) -> tuple[float, float, float, float]:
    """Left, top, width, height in parts of the picture, round all of a group."""
    down = GAP * face.picture.width / face.picture.height
    xs, ys = [mark.x for mark in one.marks], [mark.y for mark in one.marks]
    left, top = max(min(xs) - GAP, 0.0), max(min(ys) - down, 0.0)
    right, bottom = min(max(xs) + GAP, 1.0), min(max(ys) + down, 1.0)
    return left, top, right - left, bottom - top


def _frame(
    finding: Finding,
    sheet: Sheet,
    one: GroupSeen,
    frame: tuple[float, float, float, float],
    *,
    is_chosen: bool,
) -> Drawn:
    left, top, width, height = frame
    text = frame_text(finding, one)
    wide = 42 + 1.1 * LETTER * len(text)
    below, across = height * sheet.height + 5, width * NOMINAL
    dx, dy = sheet.lay(
        left * NOMINAL,
        top * sheet.height,
        wide,
        [
            (0, -HEIGHT - 5),
            (across - wide, -HEIGHT - 5),
            (0, below),
            (across - wide, below),
            (across + 6, 0),
            (-wide - 6, 0),
        ],
    )
    is_below = dy == below
    return {
        "x": per_cent(left),
        "y": per_cent(top),
        "width": per_cent(width),
        "height": per_cent(height),
        "letter": one.letter,
        "key": one.key,
        "text": text,
        "wide": f"{wide:.0f}",
        "dx": f"{dx:.0f}",
        "dy": f"{5 if is_below else dy:.0f}",
        "label_y": per_cent(top + height) if is_below else per_cent(top),
        "is_chosen": is_chosen,
        "is_clear": one.found.is_named and not one.is_disputed,
    }


def frame_text(finding: Finding, one: GroupSeen) -> str:
    """Name and share as they stand at a frame; short, the list says the rest."""
    if one.is_disputed or not one.found.is_named:
        return words.unclear()
    name = words.circuit_name(finding.board, one)
    if one.found.is_confirmed:
        return name
    return f"{name} {words.percent(one.found.share)}"


def point_name(finding: Finding, mark: BoardMark) -> str:
    return sayings.net_name(finding.board, mark.rail_id) or mark.rail_id


def _labelled(sheet: Sheet, mark: BoardMark, text: str) -> Drawn:
    """A mark with its name beside it and a line to it."""
    wide = 16 + LETTER * len(text)
    offsets = [
        (-wide / 2, 20.0),
        (-wide / 2, -20 - HEIGHT),
        (16.0, -HEIGHT / 2),
        (-16 - wide, -HEIGHT / 2),
    ]
    dx, dy = sheet.lay(mark.x * NOMINAL, mark.y * sheet.height, wide, offsets)
    ends = {0: (0, 20), 1: (0, -20), 2: (16, 0), 3: (-16, 0)}
    end_x, end_y = ends[offsets.index((dx, dy))]
    return spot(
        mark.x,
        mark.y,
        text=text,
        wide=f"{wide:.0f}",
        middle=f"{wide / 2:.1f}",
        dx=f"{dx:.0f}",
        dy=f"{dy:.0f}",
        end_x=end_x,
        end_y=end_y,
    )


def faint(finding: Finding, face: Face) -> Iterable[Drawn]:
    """The other side's marks where they lie behind this picture."""
    for other in finding.faces.values():
        if other.side is face.side:
            continue
        for mark in other.marks:
            if mark.kind == BoardMark.Kind.CORNER:
                continue
            x, y = other.on_board(mark)
            x, y = face.in_picture(1 - x, y)
            if 0 <= x <= 1 and 0 <= y <= 1:
                yield spot(x, y, is_inductor=mark.kind == BoardMark.Kind.INDUCTOR)
