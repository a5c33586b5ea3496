"""Ticket numbers: what a slip of the pen does to them."""

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.intake import numbers, phones

serials = st.integers(1, 10**12)


def test_the_examples_of_the_docstrings_hold() -> None:
    assert doctest.testmod(numbers).attempted == 3
    assert doctest.testmod(phones).attempted == 3
    assert doctest.testmod(numbers).failed == doctest.testmod(phones).failed == 0


@given(serials)
def test_a_number_is_valid_and_holds_its_serial(serial: int) -> None:
    number = numbers.number_of(serial)
    assert numbers.is_valid(number)
    assert int(number[:-1]) == serial


@given(serials, st.data())
def test_one_wrong_digit_is_always_noticed(serial: int, data: st.DataObject) -> None:
    """ISO/IEC 7064: every single substitution is detected."""
    number = numbers.number_of(serial)
    place = data.draw(st.integers(0, len(number) - 1))
    digit = data.draw(st.sampled_from("0123456789".replace(number[place], "")))
    wrong = number[:place] + digit + number[place + 1 :]
    assert not numbers.is_valid(wrong)
    assert wrong[0] == "0" or number in numbers.near_mistypes(wrong)


def test_nearly_all_swaps_are_noticed() -> None:
    """The hybrid system lets some pairs through: fewer than 1 in 40 here."""
    swaps = missed = 0
    for serial in range(1, 3000):
        n = numbers.number_of(serial)
        for i in range(len(n) - 1):
            if n[i] != n[i + 1]:
                swaps += 1
                missed += numbers.is_valid(n[:i] + n[i + 1] + n[i] + n[i + 2 :])
    assert swaps > 8000
    assert missed / swaps < 1 / 40


@pytest.mark.parametrize(
    "text", ["", "7", "79-45", "7945-1", "٧٩٤٥", "79 45", "x7945", "9" * 40, "-7945"]
)
def test_what_is_no_number_is_not_valid(text: str) -> None:
    assert not numbers.is_valid(text)


def test_a_tag_leads_to_its_ticket() -> None:
    assert numbers.compact("7945-3") == "7945"


def test_serials_start_at_one() -> None:
    with pytest.raises(ValueError, match="one"):
        numbers.number_of(0)
