"""What is believed before the first reading."""

import pytest

from diagnostics.engine.boards import Board, board_of, load_family_text
from diagnostics.engine.circuit.parts import NO_FAULT, Fault
from diagnostics.engine.circuit.predict import faults_of
from diagnostics.engine.priors import priors
from tests.engine.small_board import WITH_CIRCUIT


@pytest.fixture(scope="module")
def board() -> Board:
    return board_of(load_family_text(WITH_CIRCUIT, "small.toml"))


@pytest.fixture(scope="module")
def faults(board: Board) -> tuple[Fault, ...]:
    assert board.family.circuit is not None
    return faults_of(board, board.family.circuit)


def test_they_are_half_by_block_and_half_even(
    board: Board, faults: tuple[Fault, ...]
) -> None:
    """By hand: blocks input (weights 3 and 1) and cpu (1), 0.9 to share out.

    Half of 0.9 by block: 3/8, 1/8, 1/2; the other half even: a third each.
    """
    assert faults == (
        NO_FAULT,
        ("p.jack", "open"),
        ("p.jack", "short"),
        ("p.stage", "high"),
    )
    found = priors(board, faults, healthy=0.1)
    expected = [
        0.1,
        0.45 * 3 / 8 + 0.45 / 3,
        0.45 * 1 / 8 + 0.45 / 3,
        0.45 * 1 / 2 + 0.45 / 3,
    ]
    assert found == pytest.approx(expected)


@pytest.mark.parametrize("healthy", [0.0, 0.1, 0.5])
def test_they_add_up_to_one(
    board: Board, faults: tuple[Fault, ...], healthy: float
) -> None:
    found = priors(board, faults, healthy)
    assert found.sum() == pytest.approx(1)
    assert found[0] == healthy
    assert (found[1:] > 0).all()


def test_a_way_of_failing_of_unknown_place_shares_its_weight(board: Board) -> None:
    """By hand: the jack opens at one of two places; 3, 1 and 1 as before."""
    faults = (NO_FAULT, ("p.jack", "open@in.jack"), ("p.jack", "open@core"))
    found = priors(board, (*faults, ("p.jack", "short")), healthy=0.0)
    assert found[1] == found[2]
    assert found[1] + found[2] == pytest.approx(0.5 * 3 / 4 + 0.5 / 2)
