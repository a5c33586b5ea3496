"""What is looked for in the texts when somebody types a few words. PURE.

A database finds pieces of at least three signs by its trigrams. A word with one slip
of the finger (a letter wrong, missing, too much, or two swapped) has one of its halves
whole, unless the two swapped letters are those beside the cut. So a word is looked for
by its halves; both databases are asked for the same pieces and find the same tickets.

A ``Wish`` is a list of words, each with pieces of which one must be there.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shop.searching import plain
from shop.searching.plain import STORY, WHO

SHORTEST = 3  # of a piece: what a trigram index can find
LONGEST = 100
MOST_WORDS = 8
MOST_PIECED = 5  # words that a ticket must have; the ranking sees all
SHORT_WORD = 4  # letters: a slip in a shorter one is forgiven in names alone
LONG_WORD = 9  # letters: two slips are forgiven
PHONE_SIGNS = set("+-()/. ")

Pieces = tuple[str, ...]


@dataclass(frozen=True)
class Sought:
    """A typed word, and the pieces of which a word that is meant has one."""

    word: str
    pieces: Pieces


Wish = tuple[Sought, ...]


def words_of(typed: str) -> tuple[str, ...]:
    """The words that somebody looks for; a phone number or a serial is one word.

    >>> words_of("Ada R7-4410")
    ('ada', 'r744io')
    >>> words_of("020 7946-09")
    ('2o7946o9',)
    """
    typed = typed.replace("\0", "").strip()[:LONGEST]
    if digits := _phone(typed):
        return (plain.glued(digits),)
    found: list[str] = []
    for part in plain.BETWEEN.split(typed):
        own = plain.words(part)
        has_digit = any(sign.isdecimal() for sign in part)
        found += [plain.glued(part)] if has_digit and len(own) > 1 else own
    longer = [word for word in dict.fromkeys(found) if len(word) > 1]
    return tuple((longer or found)[:MOST_WORDS])


def _phone(typed: str) -> str:
    """The digits of a part of a phone number, without the zeros before it."""
    if not all(sign.isdecimal() or sign in PHONE_SIGNS for sign in typed):
        return ""
    digits = plain.digits_of(typed)
    return digits.lstrip("0") if len(digits) >= plain.SHORTEST_PHONE else ""


def as_typed(words: Sequence[str]) -> Wish:
    """Each word as it is, at least as the beginning of another."""
    return tuple(Sought(word, _exact(word)) for word in _telling(words))


def with_a_slip(words: Sequence[str]) -> Wish:
    """Each word with at most one slip."""
    return tuple(Sought(word, tuple(_slipped(word))) for word in _telling(words))


def but_one(words: Sequence[str]) -> Iterator[Wish]:
    """All words but one, with one slip, or two in a long one; a lone word too."""
    sought = [Sought(word, tuple(_slipped_twice(word))) for word in _telling(words)]
    if len(sought) == 1:
        yield (sought[0],)
        return
    for left_out in range(len(sought) - 1, -1, -1):
        yield tuple(own for place, own in enumerate(sought) if place != left_out)


def _telling(words: Sequence[str]) -> list[str]:
    """The words that tell most: the longest."""
    return sorted(dict.fromkeys(words), key=len, reverse=True)[:MOST_PIECED]


def _exact(word: str) -> Pieces:
    if len(word) == 1:
        return (f"{WHO}{word}{WHO}", f"{STORY}{word}{STORY}")
    if len(word) > SHORTEST or (len(word) == SHORTEST and _is_number(word)):
        return (word,)
    return (WHO + word, STORY + word)


def _is_number(word: str) -> bool:
    return any(sign.isdecimal() for sign in word)


def _slipped(word: str) -> Iterator[str]:
    if len(word) <= SHORTEST:
        yield from _exact(word)
        return
    cut = len(word) // 2
    signs = (WHO,) if len(word) <= SHORT_WORD else (WHO, STORY)
    yield from _piece("", word[:cut], signs)
    yield from _piece(word[cut:], "", signs)
    yield word[: cut - 1] + word[cut] + word[cut - 1] + word[cut + 1 :]
    if len(word) <= SHORT_WORD:
        yield word


def _slipped_twice(word: str) -> Iterator[str]:
    yield from _slipped(word)
    if len(word) >= LONG_WORD:
        third = len(word) // 3
        yield from _piece("", word[:third], (WHO, STORY))
        yield word[third : len(word) - third]
        yield from _piece(word[-third:], "", (WHO, STORY))


def _piece(end: str, start: str, signs: Sequence[str]) -> Iterator[str]:
    """The start of a word, or its end; a long one is told by itself.

    The end of what is being typed is not yet the end of the word.
    """
    if len(end) > SHORTEST:
        yield end
    elif end:
        yield from (end + sign for sign in signs)
    else:
        yield from (sign + start for sign in signs)


def flat_pieces(word: str) -> list[str]:
    """Pieces by which a ranking finds the words of a text that may be this one."""
    start = (STORY + word[:2],) if len(word) == SHORTEST else ()
    pieces = (*_exact(word), *start, *_slipped_twice(word))
    return list(dict.fromkeys(piece.replace(WHO, STORY) for piece in pieces))
