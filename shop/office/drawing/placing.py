"""Words that must not meet: who comes first keeps the place. PURE."""

from collections.abc import Iterable, Sequence

from shop.office.drawing.lettering import SIZE, width_of
from shop.office.drawing.shapes import Frame, Text

AIR = 6.0  # between two words in a row


class Room:
    """The words that were placed so far, within a width and a height."""

    def __init__(self, bounds: Frame) -> None:
        self.bounds = bounds
        self.taken: list[Frame] = []
        self.texts: list[Text] = []

    def place(self, *ways: Text, air: float = 2.0) -> Text | None:
        """Write the first of ``ways`` that is free; None where none is."""
        for text in ways:
            if self.is_free(text.frame, air):
                self.taken.append(text.frame)
                self.texts.append(text)
                return text
        return None

    def is_free(self, frame: Frame, air: float) -> bool:
        wide = Frame(frame.left - air, frame.top, frame.right + air, frame.bottom)
        left, top, right, bottom = self.bounds
        inside = (
            left <= frame.left
            and frame.right <= right
            and top <= frame.top
            and frame.bottom <= bottom
        )
        return inside and not any(wide.meets(other) for other in self.taken)

    def keep_free(self, frames: Iterable[Frame]) -> None:
        self.taken.extend(frames)


def held_within(text: Text, left: float, right: float) -> Text:
    """The same words, moved so that they don't reach beyond."""
    over = max(0.0, text.frame.right - right)
    under = max(0.0, left - text.frame.left)
    return Text(
        text.x - over + under, text.y, text.words, text.ink, text.bold, text.anchor
    )


def labels_under(
    labels: Sequence[tuple[float, str]], y: float, left: float, right: float
) -> list[int]:
    """Which labels of a row can be written: the last, the first, then what fits.

    ``labels`` are their middles and words.
    """
    room = Room(Frame(left, y - SIZE, right, y + SIZE))
    places = range(len(labels))
    written = []
    for place in dict.fromkeys([*places[-1:], *places]):
        x, words = labels[place]
        text = held_within(Text(x, y, words, anchor="middle"), left, right)
        if room.place(text, air=AIR):
            written.append(place)
    return sorted(written)


def widest(words: Iterable[str], *, bold: bool = False) -> float:
    return max((width_of(one, bold=bold) for one in words), default=0.0)
