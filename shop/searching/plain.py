"""Words as the search compares them. PURE.

What is kept and what is typed go the same way: compatibility decomposition and
caseless form (Unicode, chapter 3.13, definition 146), without accents, and what the
eye mistakes on a label is one sign: i, l and 1; o and 0.

A ticket's text is its words, each once: first those that say who and which, each
between ``0``, then the words of its story, each between ``1``. No folded word has
either, and both are letters to every trigram index, so that a piece with one of them
is found as exactly as any other::

    024i760ada0peii0555oi420orrin0i401dead1in1the1morning1
"""

import re
import unicodedata
from collections.abc import Iterable

LONGEST_WORD = 60
MOST_WORDS = 3000
WHO, STORY = "0", "1"
# Letters that Unicode does not take apart, as they are typed without them.
ASCII = {"ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe"}
ASCII |= {"ħ": "h", "ŧ": "t", "ı": "i", "ŋ": "n"}
ALIKE = {"l": "i", "1": "i", "0": "o"}
TABLE = str.maketrans(ASCII) | str.maketrans(ALIKE)
BETWEEN = re.compile(r"\s+")
ASCII_WORD = re.compile("[a-z2-9]+")  # as the table leaves them
SHORTEST_PHONE = 3


def folded(text: str) -> str:
    """The text without case, accents and signs that are mistaken for each other.

    >>> folded("Straße 10, Łódź")
    'strasse io, iodz'
    """
    if text.isascii():
        return text.casefold().translate(TABLE)
    for _turn in range(2):
        text = unicodedata.normalize("NFKD", text).casefold()
    signs = unicodedata.normalize("NFKD", text.translate(TABLE))
    return "".join(map(_digit, filter(_is_kept, signs))).translate(TABLE)


def _is_kept(sign: str) -> bool:
    return unicodedata.category(sign) != "Mn"


def _digit(sign: str) -> str:
    """A digit of any script as ours."""
    value = unicodedata.decimal(sign, None) if not sign.isascii() else None
    return sign if value is None else str(value)


def _is_word_sign(sign: str) -> bool:
    return unicodedata.category(sign)[0] in "LN" or unicodedata.category(sign) == "Mc"


def words(text: str) -> list[str]:
    """The words of a text, folded, in their order.

    >>> words("R7-4410, Orrin 14")
    ['r7', '44io', 'orrin', 'i4']
    """
    own = folded(text)
    if own.isascii():
        return [word[:LONGEST_WORD] for word in ASCII_WORD.findall(own)]
    spaced = "".join(sign if _is_word_sign(sign) else " " for sign in own)
    return [word[:LONGEST_WORD] for word in spaced.split()]


def glued(text: str) -> str:
    """A serial or another number as one word, whatever stands between its parts.

    >>> glued("R7-44 10/A")
    'r744ioa'
    """
    return "".join(words(text))[:LONGEST_WORD]


def each_way(text: str) -> list[str]:
    """The words of a text, and what hyphens join as one word too.

    >>> each_way("R7-4410 of Ada")
    ['r7', '44io', 'r744io', 'of', 'ada']
    """
    found: list[str] = []
    for part in BETWEEN.split(text):
        own = words(part)
        found += own
        if len(own) > 1:
            found.append(glued(part))
    return found


def phone_words(typed: str, e164: str) -> list[str]:
    """A phone number as its digits, as typed and in the world's form.

    >>> phone_words("(020) 7946", "+44207946")
    ['o2o7946', '442o7946']
    """
    numbers = [digits_of(typed), digits_of(e164)]
    return [glued(digits) for digits in numbers if len(digits) >= SHORTEST_PHONE]


def digits_of(text: str) -> str:
    return "".join(sign for sign in text if sign.isdecimal())


def text_of(who: Iterable[str], story: Iterable[str]) -> str:
    """The text of a ticket from its words: each once, and not without end."""
    first = dict.fromkeys(who)
    then = [word for word in dict.fromkeys(story) if word not in first]
    names = f"{WHO}{WHO.join(first)}{WHO}" if first else ""
    return f"{names}{STORY}{STORY.join(then[:MOST_WORDS])}{STORY}"


def parts_of(text: str) -> tuple[list[str], list[str]]:
    """The words of such a text: who and which, and the story.

    >>> parts_of(text_of(["ada"], ["dead"]))
    (['ada'], ['dead'])
    """
    who, _sign, story = text.rpartition(WHO)
    return _apart(who, WHO), _apart(story, STORY)


def _apart(words: str, sign: str) -> list[str]:
    return [word for word in words.split(sign) if word]
