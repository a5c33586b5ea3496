"""What a scanner typed: ours in any layout, old codes, foreign ones.

The keyboard tables are xkeyboard-config's (symbols/fr, de, cz, hu, ru, gr), written
here key by key, apart from those of the code. EAN check digits: GS1 General
Specifications, 7.9.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.intake import numbers, scans
from shop.intake.scans import What

# The sign on each key that our codes use; "X1" stands for the key of X, and so on.
KEYS = {
    "fr": {
        "1": "&", "2": "é", "3": '"', "4": "'", "5": "(", "6": "-", "7": "è",
        "8": "_", "9": "ç", "0": "à", "-": ")",
    },
    "be": {
        "1": "&", "2": "é", "3": '"', "4": "'", "5": "(", "6": "§", "7": "è",
        "8": "!", "9": "ç", "0": "à", "-": ")",
    },
    "cz": {
        "1": "+", "2": "ě", "3": "š", "4": "č", "5": "ř", "6": "ž", "7": "ý",
        "8": "á", "9": "í", "0": "é", "-": "=",
    },
    "hu": {"0": "ö", "-": "ü"},
    "de": {"-": "ß"},
    "es": {"-": "'"},
    "se": {"-": "+"},
    "tr": {"-": "*"},
    "ru": {"C": "С", "R": "К", "N": "Т", "T": "Е", "P": "З", "B": "И", "X": "Ч"},
    "gr": {"C": "Ψ", "R": "Ρ", "N": "Ν", "T": "Τ", "P": "Π", "B": "Β", "X": "Χ"},
}  # fmt: skip
SERIALS = st.integers(1, 10**8)


def typed(code: str, layout: str) -> str:
    return "".join(KEYS[layout].get(sign, sign) for sign in code)


@pytest.mark.parametrize("layout", KEYS)
@given(serial=SERIALS, tag=st.integers(1, 30))
def test_our_codes_are_read_through_any_layout(
    layout: str, serial: int, tag: int
) -> None:
    number = numbers.number_of(serial)
    read = scans.read(typed(scans.tag_code(number, tag), layout))
    assert (read.what, read.number, read.tag) == (What.TAG, number, tag)
    read = scans.read(typed(scans.ticket_code(number), layout).lower())
    assert (read.what, read.number) == (What.TICKET, number)
    read = scans.read(typed(scans.place_code(serial), layout))
    assert (read.what, read.place_id) == (What.PLACE, serial)


@pytest.mark.parametrize("layout", KEYS)
@given(serial=SERIALS, tag=st.integers(1, 30))
def test_tags_that_were_printed_before_still_work(
    layout: str, serial: int, tag: int
) -> None:
    number = numbers.number_of(serial)
    read = scans.read(typed(f"{number}-{tag}", layout))
    assert (read.number, read.tag) == (number, tag)
    assert read.code == scans.tag_code(number, tag)


@given(serial=SERIALS, place=st.integers(0, 8), digit=st.sampled_from("0123456789"))
def test_a_wrong_digit_is_noticed_and_the_right_number_is_near(
    serial: int, place: int, digit: str
) -> None:
    number = numbers.number_of(serial)
    place %= len(number)
    wrong = number[:place] + digit + number[place + 1 :]
    read = scans.read(scans.tag_code(wrong, 1))
    assert read.is_misread == (wrong != number)
    if wrong != number:
        assert number in read.near


def test_codes_are_in_the_alphanumeric_set_of_qr() -> None:
    """ISO/IEC 18004, table 5: digits, capital letters and nine signs."""
    allowed = set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")
    for code in (scans.tag_code("19", 2), scans.place_code(4), scans.ticket_code("19")):
        assert set(code) <= allowed


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("7946", What.TICKET),
        (" crn7946 ", What.TICKET),
        ("9501101530003", What.PART),  # GS1's own example
        ('ç(à&&à&("ààà"', What.PART),
        ("9501101530004", What.OTHER),
        ("CR-B-K3F9", What.BADGE),
        ("CRB123", What.BADGE),
        ("RC-0402 10k", What.OTHER),
        ("Ada Pell", What.OTHER),
        ("C4", What.OTHER),
        ("CRT7946", What.OTHER),
        ("CRN7946X2", What.OTHER),
        ("", What.OTHER),
        ("\x00\x1d7946-2\r", What.TAG),
        ("9" * 5000, What.OTHER),
        ("CRT" + "9" * 60 + "X1", What.OTHER),
    ],
)
def test_foreign_codes_and_words_are_told_apart(text: str, what: What) -> None:
    assert scans.read(text).what == what


def test_a_badge_is_never_repeated() -> None:
    assert "K3F9" not in repr(scans.read("CR-B-K3F9"))


@given(st.text(max_size=300))
def test_no_text_breaks_it(text: str) -> None:
    read = scans.read(text)
    assert len(read.text) <= scans.LONGEST
    assert all(way != read.text.upper() for way in scans.also(read.text))
