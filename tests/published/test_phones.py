"""Phone numbers against E.164: check-values.md 8.23 to 8.26.

Numbers are from ranges kept for fiction (Ofcom, NANPA, BNetzA), recomputed with
phonenumbers; the ranges and the length of 15 are MEMORY.
"""

import phonenumbers
import pytest

from shop.intake import phones


@pytest.mark.parametrize(
    ("typed", "country", "kept"),
    [
        ("020 7946 0958", "GB", "+442079460958"),  # 8.23
        ("(202) 555-0123", "US", "+12025550123"),  # 8.24
        ("030 23125 000", "DE", "+493023125000"),  # 8.24
        ("+44 20 7946 0958", "DE", "+442079460958"),  # its own country code wins
        ("+15555550123", "US", "+15555550123"),  # 8.26, possible is enough
    ],
)
def test_a_number_is_kept_as_e164(typed: str, country: str, kept: str) -> None:
    assert phones.e164(typed, country) == kept


def test_possible_is_not_valid() -> None:
    """8.26: the reason why a number that isn't valid is kept all the same."""
    number = phonenumbers.parse("+15555550123")
    assert phonenumbers.is_possible_number(number)
    assert not phonenumbers.is_valid_number(number)


def test_e164_has_at_most_15_digits() -> None:
    """8.25."""
    assert phones.e164("+49 30 " + "2" * 11, "DE") == "+4930" + "2" * 11
    assert phones.e164("+49 30 " + "2" * 14, "DE") == ""


@pytest.mark.parametrize(
    "typed", ["", "none", "ask at the office", "+00 555 0142", "call Ada 📞", "٠٢٠"]
)
def test_what_cannot_be_read_is_nothing_and_no_error(typed: str) -> None:
    assert phones.e164(typed, "ZZ") == ""
