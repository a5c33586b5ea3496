"""Pin maps: those of common practice, and those typed for a two-in-one stage."""

from itertools import chain

import pytest

from diagnostics.engine.guided import PartTestError
from diagnostics.engine.packages import (
    MAPS,
    Channel,
    Outline,
    Pins,
    Setup,
    own_map,
    pin_list,
)


def refused(*typed: str) -> str:
    with pytest.raises(PartTestError) as error:
        own_map(*typed)
    return error.value.code


@pytest.mark.parametrize(
    ("text", "pins"),
    [
        ("5-8", (5, 6, 7, 8)),
        ("8 - 5", (5, 6, 7, 8)),
        (" 1, 3 ", (1, 3)),
        ("1 2;3+4", (1, 2, 3, 4)),
        ("7", (7,)),
    ],
)
def test_pins_as_they_are_typed(text: str, pins: tuple[int, ...]) -> None:
    assert pin_list(text) == pins


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        (("", "2", "3"), "not_pins"),
        (("1", "two", "3"), "not_pins"),
        (("1", "2-", "3"), "not_pins"),
        (("1", "-2", "3"), "not_pins"),
        (("1", "2-3-4", "5"), "not_pins"),
        (("1", "²", "5"), "not_pins"),
        (("1", "9" * 500, "5"), "not_pins"),
        (("0", "2", "3"), "no_such_pin"),
        (("1", "2", "3-9"), "no_such_pin"),
        (("1", "2", "2-3"), "pin_twice"),
        (("1 1", "2", "3"), "pin_twice"),
    ],
)
def test_a_map_that_makes_no_sense_is_refused(
    typed: tuple[str, str, str], code: str
) -> None:
    assert refused(*typed) == code


def test_the_two_dies_of_a_dual_share_all_eight_pins() -> None:
    first, second = MAPS[Outline.DUAL, 1], MAPS[Outline.DUAL, 2]
    assert sorted(chain(first.all, second.all)) == list(range(1, 9))


def test_a_single_die_uses_all_eight_pins() -> None:
    assert sorted(MAPS[Outline.EIGHT, 1].all) == list(range(1, 9))


def test_a_setup_needs_its_die_and_its_map() -> None:
    with pytest.raises(PartTestError, match="no_such_die"):
        Setup(Outline.EIGHT, Channel.N, is_lifted=True, die=2)
    with pytest.raises(PartTestError, match="pins_missing"):
        Setup(Outline.OWN, Channel.N, is_lifted=True)


def test_an_own_map_is_used_as_typed() -> None:
    own = Pins((1,), (2, 3), (7,))
    assert Setup(Outline.OWN, Channel.P, is_lifted=True, own=own).pins is own


def test_a_typed_map_is_what_was_typed() -> None:
    assert own_map("4", "1-3", "5 - 8") == Pins((4,), (1, 2, 3), (5, 6, 7, 8))
