"""Flash or MOSFET: the pins first, then the body, then what stands near."""

import pytest

from diagnostics.engine import chips
from diagnostics.engine.guided import Result
from tests.engine.played import play

SEPARATE = {
    "source_joined": "OL",
    "drain_joined": "12k",
    "pair_56": "4.7k",
    "pair_78": "OL",
}


def told(**typed: str) -> tuple[Result, list[str]]:
    return play(chips.position, typed)


def test_joined_pins_are_a_mosfet_whatever_its_body() -> None:
    result, asked = told(source_joined="0.1", drain_joined="0.2")
    assert result.word == "mosfet"
    assert asked == ["power_gone", "source_joined", "drain_joined"]


def test_joined_is_less_the_leads() -> None:
    typed = {"source_joined": "0.7", "drain_joined": "0.6"}
    result, _asked = play(lambda taken: chips.position(taken, 0.3), typed)
    assert result.word == "mosfet"


def test_two_dies() -> None:
    joined = {"pair_56": "0.1", "pair_78": "0.1"}
    assert told(**SEPARATE | joined)[0].word == "dual_mosfet"


@pytest.mark.parametrize("size", ["5.3x5.3", "6x5", "8x6"])
def test_eight_separate_pins_in_a_flash_body(size: str) -> None:
    result, _asked = told(**SEPARATE, body=size, near="yes")
    assert result.word == "flash"
    assert result.is_likely


def test_where_both_are_five_by_six_the_pins_decide() -> None:
    result, _asked = told(**SEPARATE, body="6x5", near="yes")
    assert result.reasons[0].code == "pins_decide"


def test_a_flash_body_far_from_any_controller_is_unclear() -> None:
    result, _asked = told(**SEPARATE, body="8x6", near="no")
    assert (result.word, result.is_likely) == ("unclear", False)


def test_a_tiny_body_may_hold_the_controllers_code() -> None:
    result, asked = told(**SEPARATE, body="tiny")
    assert result.word == "controller_code"
    assert "near" not in asked


@pytest.mark.parametrize("size", ["4x5", "3.3x3.3", "other"])
def test_eight_separate_pins_in_another_body_are_unclear(size: str) -> None:
    assert told(**SEPARATE, body=size)[0].word == "unclear"


@pytest.mark.parametrize(
    "joined",
    [{"source_joined": "0.1"}, {"drain_joined": "0.1"}, {"pair_56": "0.1"}],
)
def test_joined_in_another_way_asks_for_its_own_map(joined: dict[str, str]) -> None:
    result, _asked = told(**SEPARATE | joined)
    assert (result.word, result.settle) == ("unclear", ("own_map",))
