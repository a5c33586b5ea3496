"""What a repair and a wrong name cost, in minutes of the family's own data."""

from diagnostics.engine.boards import board_of
from diagnostics.engine.family_load import load_family_text
from diagnostics.engine.worth import (
    AGAIN_MINUTES,
    RETEST_MINUTES,
    RETURN_MINUTES,
    repair_minutes,
    wrong_minutes,
)
from tests.engine.small_family import SMALL

BOARD = board_of(load_family_text(SMALL, "small.toml"))


def test_a_repair_takes_the_middle_of_what_the_family_says() -> None:
    for part in BOARD.parts.values():
        least, most = part.minutes
        assert repair_minutes(BOARD, part.id) == (least + most) / 2


def test_a_wrong_name_costs_the_proof_and_the_search_again_too() -> None:
    part = next(iter(BOARD.parts))
    more = wrong_minutes(BOARD, part) - repair_minutes(BOARD, part)
    assert more == RETEST_MINUTES + AGAIN_MINUTES


def test_no_fault_at_all_costs_a_board_that_comes_back() -> None:
    assert repair_minutes(BOARD, "") == RETURN_MINUTES
