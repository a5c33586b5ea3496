"""A language in which every translated text stands in brackets.

Whatever a page shows without brackets did not pass through gettext: data, or a text
that nobody could translate.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from html.parser import HTMLParser

from django.utils.translation import override, trans_real

OPEN, CLOSE = "\u27e6", "\u27e7"
CONTEXT = "\x04"
INNERMOST = re.compile(f"{OPEN}[^{OPEN}{CLOSE}]*{CLOSE}", re.DOTALL)
READ_ALOUD = ("alt", "aria-label", "placeholder", "title")
# Attributes that hold one figure for the browser.
FIGURES = frozenset(
    "x y x1 y1 x2 y2 cx cy r rx ry dx dy width height opacity min max step low high "
    "optimum stroke-width font-size".split()
)
COMMA = re.compile(r"[-+]?\d+,\d+(?:px|%|em|rem)?")
NOT_READ = {"script", "style", "template"}
WORD = re.compile(r"[^\W\d_]{2,}")


class Bracketed(trans_real.DjangoTranslation):
    """German, as far as formats and plurals go; no text of it is known."""

    def gettext(self, message: str) -> str:
        return f"{OPEN}{message.rpartition(CONTEXT)[2]}{CLOSE}"

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)


@contextmanager
def pseudo_german() -> Iterator[None]:
    """While it lasts German is the language of brackets, for every thread."""
    kept: dict[str, object] = vars(trans_real)["_translations"]
    before = kept.get("de")
    kept["de"] = Bracketed("de")
    try:
        with override("en"):  # what a request leaves active ends with it
            yield
    finally:
        kept.pop("de")
        if before is not None:
            kept["de"] = before


class Reader(HTMLParser):
    """What a person reads or hears of a page, piece by piece.

    ``commas`` are figures for a browser that were written as for a German reader.
    """

    def __init__(self) -> None:
        super().__init__()
        self.pieces: list[str] = []
        self.commas: list[str] = []
        self._silent: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in NOT_READ:
            self._silent.append(tag)
        given = dict(attrs)
        machine = [
            name for name in given if name in FIGURES or name.startswith("data-")
        ]
        if given.get("type") in {"number", "range", "hidden"}:
            machine.append("value")
        values = (given.get(name) or "" for name in machine)
        self.commas += [one for one in values if COMMA.fullmatch(one)]
        is_pressed = tag == "input" and given.get("type") in {"submit", "button"}
        names = (*READ_ALOUD, *(["value"] if is_pressed else []))
        self.pieces += [text for name in names if (text := given.get(name))]

    def handle_endtag(self, tag: str) -> None:
        if self._silent and tag == self._silent[-1]:
            self._silent.pop()

    def handle_data(self, data: str) -> None:
        if not self._silent:
            self.pieces.append(data)


def read(html: str) -> Reader:
    reader = Reader()
    reader.feed(outside_of_page(html))
    return reader


def unbracketed(reader: Reader) -> list[str]:
    """The pieces of a page that hold words outside of brackets.

    Brackets may span elements: a translated sentence holds its links. So they are
    taken off the page first, as they stand in its source.
    """
    left = (" ".join(piece.split()) for piece in reader.pieces)
    return [piece for piece in left if WORD.search(piece)]


def outside_of_page(html: str) -> str:
    """The source without translated pieces; their tags stay, for the parser."""

    def tags_of(match: re.Match[str]) -> str:
        return " ".join(re.findall(r"<[^>]*>", match.group())) or " "

    while (shorter := INNERMOST.sub(tags_of, html)) != html:
        html = shorter
    return html
