"""How well a ticket's text answers what was typed. PURE.

Each typed word is held against those words of a text that have a piece of it: the
same, its beginning, within it (a part of a phone number), or alike by the optimal
string alignment distance (a swap of neighbours is one slip). Longer words count for
more, and who and which for a little more than the story. As good ones: newest first.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from operator import mul

from rapidfuzz.distance import OSA

from shop.searching import asking
from shop.searching.plain import STORY, WHO

BEGINS, WITHIN, ALIKE = 0.92, 0.84, 0.9
OF_STORY = 0.9
LEAST_ALIKE, LEAST_BEGUN = 0.6, 0.8  # two slips in five letters are another word
LEAST = 0.5  # of a ticket
BESIDE_BEST = 0.85  # what is far behind the best is left out
SHORTEST_WITHIN = 3
SHORTEST_NUMBER = 6  # digits: in a shorter number every slip is another number
HEAVIEST = 8


@dataclass(frozen=True)
class Text:
    """A candidate: the ticket's number in our tables and its text."""

    ticket_id: int
    text: str


@dataclass(frozen=True)
class Ranked:
    """``met``: for each typed word that the ticket answers, the word that does."""

    ticket_id: int
    score: float
    met: Mapping[str, str]


def ranked(words: Sequence[str], texts: Iterable[Text]) -> list[Ranked]:
    """Those that answer well enough, best first."""
    known: dict[tuple[str, str], float] = {}
    pieces = {word: asking.flat_pieces(word) for word in words}
    once = {one.ticket_id: one for one in texts}.values()
    found = [_one(one, pieces, partial(_kept, known)) for one in once]
    found.sort(key=lambda one: (-round(one.score, 4), -one.ticket_id))
    least = max(LEAST, BESIDE_BEST * found[0].score) if found else 0.0
    return [one for one in found if one.score >= least]


def _kept(known: dict[tuple[str, str], float], typed: str, word: str) -> float:
    """``alike``, reckoned once for the same two words."""
    worth = known.get((typed, word))
    if worth is None:
        worth = known[typed, word] = alike(typed, word)
    return worth


def alike(typed: str, word: str) -> float:
    """How well one word answers another, from 0 to 1.

    >>> alike("peii", "peii"), alike("pe", "peii"), alike("dead", "peii")
    (1.0, 0.96, 0.0)
    """
    if typed in word and (held := _holds(typed, word)):
        return held
    if typed.isdecimal() and len(typed) < SHORTEST_NUMBER:
        return 0.0
    whole = OSA.normalized_similarity(typed, word, score_cutoff=LEAST_ALIKE)
    begun = OSA.normalized_similarity(
        typed, word[: len(typed)], score_cutoff=LEAST_BEGUN
    )
    return ALIKE * max(whole, BEGINS * begun)


def with_a_slip_in_each(words: Sequence[str]) -> float:
    """The score of a ticket that has each word among who and which, with one slip.

    >>> round(with_a_slip_in_each(["peii"]), 3), with_a_slip_in_each([])
    (0.675, 1.0)
    """
    slipped = [ALIKE * (1 - 1 / len(word)) for word in words]
    return _weighted(words, slipped)


def _weighted(words: Sequence[str], values: Sequence[float]) -> float:
    """A ticket's score of what its best word for each typed one is worth."""
    weights = [1.0 + min(len(word), HEAVIEST) for word in words]
    gained = sum(map(mul, weights, values))
    return gained / sum(weights) if words else 1.0


def _holds(typed: str, word: str) -> float:
    """Of a word that has the typed one in it."""
    share = len(typed) / len(word)
    if word.startswith(typed):
        return BEGINS + (1 - BEGINS) * share
    if len(typed) < SHORTEST_WITHIN:
        return 0.0
    return WITHIN + (BEGINS - WITHIN) * share


def _one(
    one: Text, pieces: Mapping[str, Sequence[str]], worth: "partial[float]"
) -> Ranked:
    flat = one.text.replace(WHO, STORY)
    story_from = one.text.rfind(WHO)
    values: list[float] = []
    met: dict[str, str] = {}
    for typed, own in pieces.items():
        best = 0.0
        for word, at in _words_with(flat, own):
            value = worth(typed, word) * (1.0 if at < story_from else OF_STORY)
            if value > best:
                best, met[typed] = value, word
        values.append(best)
    return Ranked(one.ticket_id, _weighted(list(pieces), values), met)


def _words_with(flat: str, pieces: Iterable[str]) -> Iterator[tuple[str, int]]:
    """Each word of a text that has one of these pieces, and where it begins."""
    for piece in pieces:
        lead = piece.startswith(STORY)
        at = flat.find(piece)
        while at >= 0:
            start = at + 1 if lead else flat.rfind(STORY, 0, at) + 1
            end = flat.find(STORY, start)
            yield flat[start:end], start
            at = flat.find(piece, end)
