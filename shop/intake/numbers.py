"""Ticket numbers. PURE: a serial number and an ISO 7064 MOD 11,10 check digit.

Every single wrong digit and nearly every swap of neighbours is noticed.
"""

from stdnum.exceptions import ValidationError
from stdnum.iso7064 import mod_11_10

LONGEST = 18


def number_of(serial: int) -> str:
    """The number that is printed and said.

    >>> number_of(794)
    '7946'
    """
    if serial < 1:
        raise ValueError("Serial numbers start at one.")
    return f"{serial}{mod_11_10.calc_check_digit(str(serial))}"


def compact(text: str) -> str:
    """A typed or scanned number, without the tag's own number behind it.

    >>> compact(" 7945-2 ")
    '7945'
    """
    return text.strip().partition("-")[0].strip()


def looks_like_one(text: str) -> bool:
    """Only digits, of a length that a ticket number can have."""
    number = compact(text)
    return number.isascii() and number.isdigit() and 2 <= len(number) <= LONGEST


def is_valid(number: str) -> bool:
    """Whether the last digit is the check digit of those before it.

    >>> is_valid("7946"), is_valid("7964")
    (True, False)
    """
    if not looks_like_one(number) or number != compact(number):
        return False
    try:
        mod_11_10.validate(number)
    except ValidationError:
        return False
    return True


def near_mistypes(number: str) -> frozenset[str]:
    """Valid numbers that are one wrong digit or one swap away from this one."""
    if not looks_like_one(number):
        return frozenset()
    near = set[str]()
    for place, typed in enumerate(number):
        before, after = number[:place], number[place + 1 :]
        near |= {f"{before}{digit}{after}" for digit in "0123456789"}
        if after:
            near.add(f"{before}{after[0]}{typed}{after[1:]}")
    return frozenset(n for n in near - {number} if n[0] != "0" and is_valid(n))
