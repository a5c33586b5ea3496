"""Phone numbers: kept as typed, and as E.164 where they can be read. PURE.

A number that can't be read is never refused: it may be right all the same.
"""

import phonenumbers

SHORTEST_PIECE = 3


def e164(typed: str, country: str) -> str:
    """``+442079460958`` for what was typed in ``country``, else nothing.

    >>> e164("020 7946 0958", "GB")
    '+442079460958'
    >>> e164("ask at the office", "GB")
    ''
    """
    try:
        number = phonenumbers.parse(typed, country)
    except phonenumbers.NumberParseException:
        return ""
    if not phonenumbers.is_possible_number(number):
        return ""
    return phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164)


def piece(text: str) -> str:
    """The digits of a part of a phone number, or nothing if it can't be one.

    >>> piece("0142"), piece("Ada 14"), piece("14")
    ('142', '', '')
    """
    if not all(c.isdigit() or c in "+-()/. " for c in text):
        return ""
    digits = "".join(c for c in text if c.isascii() and c.isdigit())
    return digits.lstrip("0") if len(digits) >= SHORTEST_PIECE else ""
