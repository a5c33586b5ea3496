"""What a scanner typed, or a person in its stead. PURE.

A QR code of ours holds ``CR``, one letter and digits, and nothing else::

    CRN24176      ticket 24176
    CRT24176X2    bag tag 2 of that ticket
    CRP19         place, by its row's number with a check digit
    CRB...        badge of a person; read by the sign-in, never shown

All of them are in QR's alphanumeric mode (ISO/IEC 18004, 7.4.4), so that the code
is small, and end in a check digit where a number is meant (``numbers.py``). The
letters B C N P R T X stand on the same keys of QWERTY, QWERTZ and AZERTY. Scanners
send the keys of a US keyboard in their default setting; ``mends`` undoes what
another layout made of them. Tags printed before this were plain ``24176-2`` and are
still read. Foreign codes (a part's EAN, a serial number) are told apart and handed
on as they are.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from stdnum import ean

from shop.intake import numbers

LONGEST = 100
SHORTEST_EAN = 8


class What(StrEnum):
    TICKET = "ticket"
    TAG = "tag"
    PLACE = "place"
    BADGE = "badge"
    PART = "part"
    OTHER = "other"


@dataclass(frozen=True)
class Scan:
    """What was read; ``near`` are numbers that may be meant by a misread one."""

    what: What
    text: str
    number: str = ""
    tag: int = 0
    place_id: int = 0
    near: frozenset[str] = frozenset()

    @property
    def is_misread(self) -> bool:
        """Ours by its looks, but its check digit does not fit."""
        is_numbered = self.what in {What.TICKET, What.TAG, What.PLACE}
        return is_numbered and not (self.number or self.place_id)

    @property
    def code(self) -> str:
        """The code as we print it, whatever way it was read."""
        if self.what == What.TAG and self.number:
            return tag_code(self.number, self.tag)
        if self.what == What.TICKET and self.number:
            return ticket_code(self.number)
        return self.text


def ticket_code(number: str) -> str:
    return f"CRN{number}"


def tag_code(number: str, tag: int) -> str:
    return f"CRT{number}X{tag}"


def place_code(place_id: int) -> str:
    return f"CRP{numbers.number_of(place_id)}"


OURS = re.compile(r"cr-?([ntp])-?([0-9]{1,18})(?:x([0-9]{1,3}))?")
A_BADGE = re.compile(r"cr[^a-z0-9]?b.+", re.DOTALL)
# What stands for the hyphen of a US keyboard elsewhere: ß ' ) + = / and so on.
PLAIN_TAG = re.compile(r"([0-9]{2,18})(?:[^\w\s]|[ß_ü])([0-9]{1,3})")
DIGITS = "1234567890"
# The keys of 1 to 0, then of B C N P R T X, as other layouts type them unshifted
# (xkeyboard-config, symbols/fr, be, cz, sk, hu, ru, gr). Others differ in neither.
LAYOUTS = {
    "French": "&é\"'(-è_çà",
    "Belgian": "&é\"'(§è!çà",
    "Czech": "+ěščřžýáíé",
    "Slovak": "+ľščťžýáíé",
    "Hungarian": "123456789ö",
}
LETTERS = {
    "Russian": ("истзкеч", "bcnprtx"),
    "Greek": ("βψνπρτχ", "bcnprtx"),
}
# For foreign codes, which use every letter: the two layouts that move Latin ones.
SWAPS = {"German": ("yz", "zy"), "French": ("aqzwm", "qawz;")}


def read(typed: str) -> Scan:
    """What this is.

    >>> read("CRT7946X2").number, read("crt7946x2").tag
    ('7946', 2)
    >>> read("7946-2").what, read("CRT7945X2").is_misread
    (<What.TAG: 'tag'>, True)
    """
    text = "".join(c for c in typed if c.isprintable()).strip()[:LONGEST]
    read_so = [scan for mended in mends(text) if (scan := _ours(mended)) is not None]
    whole = [scan for scan in read_so if not scan.is_misread]
    if whole or read_so:
        found = (whole or read_so)[0]
        return found if found.what == What.BADGE else replace(found, text=text)
    for mended in mends(text):
        if is_part_code(mended):
            return Scan(What.PART, mended)
    return Scan(What.OTHER, text)


def mends(text: str) -> Iterator[str]:
    """The text in small letters, then as it was if the layout was another."""
    small = text.lower()
    yield small
    yield from _with_digits(small)
    for typed, meant in LETTERS.values():
        yield small.translate(str.maketrans(typed, meant))


def _with_digits(small: str) -> Iterator[str]:
    """Where the digits' keys type signs, none of them can have typed a digit."""
    for row in LAYOUTS.values():
        if not any(digit in small for digit in set(DIGITS) - set(row)):
            yield small.translate(str.maketrans(row, DIGITS))


def also(text: str) -> list[str]:
    """Other ways to read a foreign code, for a search that found nothing.

    >>> also("ZX-1")
    ['YX-1', 'WX-1']
    """
    small = text.lower()
    ways = [small.translate(str.maketrans(*swap)) for swap in SWAPS.values()]
    ways += _with_digits(small)
    return list(dict.fromkeys(way.upper() for way in ways if way != small))


def is_part_code(text: str) -> bool:
    """An EAN or UPC with a fitting check digit (GS1), so long that it is one."""
    if not (text.isascii() and text.isdigit() and len(text) >= SHORTEST_EAN):
        return False
    return ean.is_valid(text) and not (len(text) == 8 and numbers.is_valid(text))


def _ours(text: str) -> Scan | None:
    if A_BADGE.fullmatch(text):
        return Scan(What.BADGE, "")
    if found := OURS.fullmatch(text):
        return _marked(text, *found.groups())
    if found := PLAIN_TAG.fullmatch(text):
        number, tag = (part for part in found.groups() if part)
        return _numbered(What.TAG, text, number, int(tag))
    if text.isascii() and numbers.is_valid(text) and not is_part_code(text):
        return Scan(What.TICKET, text, number=text)
    return None


def _marked(text: str, letter: str, digits: str, tag: str | None) -> Scan | None:
    if (letter == "t") != (tag is not None):
        return None
    if letter == "p":
        is_whole = numbers.is_valid(digits)
        return Scan(What.PLACE, text, place_id=int(digits[:-1]) if is_whole else 0)
    what = What.TAG if tag else What.TICKET
    return _numbered(what, text, digits, int(tag or 0))


def _numbered(what: What, text: str, number: str, tag: int) -> Scan:
    if numbers.is_valid(number):
        return Scan(what, text, number=number, tag=tag)
    return Scan(what, text, tag=tag, near=numbers.near_mistypes(number))
