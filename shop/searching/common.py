"""Words that many texts have: quicker read from the newest texts than from an index.

An index has to go through every text with a word before it knows the newest of them;
what every twentieth ticket says is among the newest few in any case.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil

from shop.searching.asking import Pieces
from shop.searching.plain import STORY, WHO
from shop.searching.ranking import Text

SHARE = 0.05  # of the texts: from there on a word is common


@dataclass(frozen=True)
class Newest:
    """Words that are common in a shop's newest texts, and how far ``apart`` its
    tickets' numbers in our tables are: several shops may share one database.
    """

    common: frozenset[str] = frozenset()
    apart: int = 1


@dataclass(frozen=True)
class Meant:
    """Of a typed word: the words that are alike; where those are too many, pieces."""

    pieces: Pieces
    words: frozenset[str] | None

    @property
    def is_nothing(self) -> bool:
        return self.words is not None and not self.words

    def is_common(self, words: frozenset[str]) -> bool:
        return self.words is None or not words.isdisjoint(self.words)

    def is_in(self, text: str) -> bool:
        if self.words is None:
            return any(piece in text for piece in self.pieces)
        return not self.words.isdisjoint(words_in(text))


def words_in(text: str) -> list[str]:
    """The words of a text without their signs, as the indexes have them.

    >>> words_in("0ada01iamp1")
    ['', 'ada', '', 'iamp', '']
    """
    return text.replace(WHO, STORY).split(STORY)


def having_all(meant: Sequence[Meant], texts: Iterable[Text]) -> list[Text]:
    return [text for text in texts if all(one.is_in(text.text) for one in meant)]


def newest_of(texts: Sequence[Text]) -> Newest:
    """What is to be known of a shop's newest texts, the newest first."""
    counted = Counter[str]()
    for one in texts:
        counted.update(set(words_in(one.text)))
    least = max(SHARE * len(texts), 1)
    common = frozenset(word for word, many in counted.items() if many >= least)
    if len(texts) < 2:
        return Newest(common)
    span = texts[0].ticket_id - texts[-1].ticket_id
    return Newest(common, ceil(span / (len(texts) - 1)))
