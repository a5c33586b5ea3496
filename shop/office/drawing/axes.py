"""The lines around a plot, with their figures. PURE."""

from collections.abc import Sequence
from dataclasses import dataclass

from shop.office.drawing.placing import Room, held_within
from shop.office.drawing.says import Says
from shop.office.drawing.scales import Scale
from shop.office.drawing.shapes import DASHED, Frame, Lines, Shape, Text


@dataclass(frozen=True)
class Plot:
    """The field between two scales; ``down`` grows towards the top."""

    across: Scale
    down: Scale

    @property
    def left(self) -> float:
        return self.across.start

    @property
    def right(self) -> float:
        return self.across.end

    @property
    def top(self) -> float:
        return self.down.end

    @property
    def foot(self) -> float:
        return self.down.start

    def at(self, x: float, y: float) -> tuple[float, float]:
        return self.across.at(x), self.down.at(y)


def foot_line(plot: Plot) -> Lines:
    return Lines([[(plot.left, plot.foot), (plot.right, plot.foot)]], "ink")


def reference(plot: Plot, value: float) -> Lines:
    """The one line that others are held against, dashed."""
    y = plot.down.at(value)
    return Lines([[(plot.left, y), (plot.right, y)]], "ink-soft", dash=DASHED)


def side_ticks(plot: Plot, values: Sequence[float], says: Says) -> list[Shape]:
    """Figures left of the plot with hair lines through it."""
    shapes: list[Shape] = []
    for value in values:
        y = plot.down.at(value)
        shapes.append(Lines([[(plot.left, y), (plot.right, y)]], "hair", thick=1))
        words = says.tick(value)
        shapes.append(Text(plot.left - 8, y + 5, words, "ink-soft", anchor="end"))
    return shapes


def foot_ticks(
    plot: Plot, values: Sequence[float], says: Says, unit: str, width: float
) -> list[Shape]:
    """Figures under the plot, each where it has room; the unit after the last."""
    ways = [(plot.across.at(value), says.tick(value)) for value in values]
    room = Room(Frame(0, plot.foot, width, plot.foot + 24))
    shapes: list[Shape] = []
    for place, (x, words) in reversed(list(enumerate(ways))):
        is_last = place == len(ways) - 1
        text = Text(x, plot.foot + 19, words, "ink-soft", anchor="middle")
        longer = Text(
            x, plot.foot + 19, f"{words}\u00a0{unit}", "ink-soft", anchor="middle"
        )
        choices = (longer, text) if is_last and unit else (text,)
        if room.place(*(held_within(one, 0, width) for one in choices), air=4):
            shapes.append(Lines([[(x, plot.foot), (x, plot.foot + 5)]], "ink"))
    return [*shapes, *room.texts]
