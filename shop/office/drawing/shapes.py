"""What a picture is made of: boxes, lines, areas, discs and words. PURE.

Lengths are CSS pixels. An ink is the name of a colour token; "" is none.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from shop.office.drawing.lettering import SIZE, width_of

Point = tuple[float, float]
DASHED = "4 4"
DOTTED = "1 4"


class Frame(NamedTuple):
    """The box that a shape needs."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: "Frame") -> bool:
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


@dataclass(frozen=True)
class Rect:
    x: float
    y: float
    width: float
    height: float
    fill: str = ""
    edge: str = ""
    thick: float = 1.5
    dash: str = ""

    @property
    def frame(self) -> Frame:
        out = self.thick / 2 if self.edge else 0.0
        right, bottom = self.x + self.width + out, self.y + self.height + out
        return Frame(self.x - out, self.y - out, right, bottom)


@dataclass(frozen=True)
class Lines:
    """Lines in one ink, each through its points."""

    lines: Sequence[Sequence[Point]]
    ink: str
    thick: float = 1.5
    dash: str = ""
    is_round: bool = False

    @property
    def frame(self) -> Frame:
        return _around([point for line in self.lines for point in line])


@dataclass(frozen=True)
class Area:
    points: Sequence[Point]
    fill: str

    @property
    def frame(self) -> Frame:
        return _around(self.points)


@dataclass(frozen=True)
class Disc:
    x: float
    y: float
    radius: float
    fill: str = ""
    edge: str = ""
    thick: float = 1.5

    @property
    def frame(self) -> Frame:
        out = self.radius + (self.thick / 2 if self.edge else 0.0)
        return Frame(self.x - out, self.y - out, self.x + out, self.y + out)


@dataclass(frozen=True)
class Text:
    """Words on their base line; ``anchor`` is SVG's: start, middle or end."""

    x: float
    y: float
    words: str
    ink: str = "ink"
    bold: bool = False
    anchor: str = "start"

    @property
    def width(self) -> float:
        return width_of(self.words, bold=self.bold)

    @property
    def frame(self) -> Frame:
        before = {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor]
        left = self.x - before * self.width
        top = self.y - 0.75 * SIZE
        return Frame(left, top, left + self.width, self.y + 0.25 * SIZE)


Shape = Rect | Lines | Area | Disc | Text


@dataclass(frozen=True)
class Picture:
    """Shapes from back to front."""

    width: float
    height: float
    shapes: Sequence[Shape]

    @property
    def texts(self) -> list[Text]:
        return [shape for shape in self.shapes if isinstance(shape, Text)]


def _around(points: Sequence[Point]) -> Frame:
    across, down = [x for x, _y in points], [y for _x, y in points]
    return Frame(min(across), min(down), max(across), max(down))
