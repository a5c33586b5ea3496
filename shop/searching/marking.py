"""Why a ticket was found: what was told of it, with the words that were meant."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from shop.searching.sources import Label, Told

AROUND = 40  # signs of a long text that are shown on either side
MORE = "…"
ENDS = ".,;:!?)”"
APART = re.compile(r"\s+|\S+")


@dataclass(frozen=True)
class Piece:
    text: str
    is_met: bool = False


@dataclass(frozen=True)
class Reason:
    label: Label
    pieces: Sequence[Piece]


def reasons(told: Iterable[Told], met: Iterable[str]) -> list[Reason]:
    """What holds the words that were met; each word once, where it is told first."""
    left = set(met)
    found = list[Reason]()
    for one in told:
        if not left:
            break
        if here := left & set(one.words):
            found.append(Reason(one.label, tuple(cut(list(pieces(one, here))))))
            left -= here
    return found


def pieces(one: Told, met: set[str]) -> Iterator[Piece]:
    """The text apart: what was met, and what stands between."""
    parts = APART.findall(one.text)
    is_met = [not part.isspace() and bool(met & set(one.ways(part))) for part in parts]
    if not any(is_met):  # a number that is told in several parts
        yield Piece(one.text.strip(), is_met=True)
        return
    for part, mark in zip(parts, is_met, strict=True):
        word = part.rstrip(ENDS) if mark else part
        yield Piece(word, mark)
        yield Piece(part[len(word) :])


def cut(all_of: Sequence[Piece]) -> Iterator[Piece]:
    """The surroundings of what was met; the rest of a long text is left out."""
    between = ""
    is_first = True
    for piece in all_of:
        if not piece.is_met:
            between += piece.text
            continue
        yield from _shortened(between, is_first=is_first)
        yield piece
        between, is_first = "", False
    if len(between) > AROUND:
        between = between[:AROUND].rsplit(" ", 1)[0] + MORE
    yield Piece(between)


def _shortened(text: str, *, is_first: bool) -> Iterator[Piece]:
    room = AROUND if is_first else 2 * AROUND
    if len(text) <= room:
        yield Piece(text)
        return
    start = "" if is_first else text[:AROUND].rsplit(" ", 1)[0]
    yield Piece(f"{start}{MORE}{text[-AROUND:].partition(' ')[2]}")
