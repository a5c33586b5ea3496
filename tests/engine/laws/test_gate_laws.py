"""Whatever was read, power never passes a bad or unread gate, in any family."""

from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.engine.boards import FAMILY_IDS, Board, Patch, board_of, load_family
from diagnostics.engine.gates import (
    Standing,
    gate_passes,
    holds,
)

pytestmark = pytest.mark.long

# Section 4 of the domain brief: k24, k25 and k43, and what they need.
POWER_GATES = {
    "laptop_barrel": {"k06", "k18", "k19", "k20"},
    "laptop_usbc": {"k06", "k18", "k19", "k20"},
    "desktop_atx": {"k08", "k18", "k19"},
}
FIRST_POWER = {"laptop_barrel": "k24", "laptop_usbc": "k25", "desktop_atx": "k43"}
BOARDS = {family: board_of(load_family(family)) for family in FAMILY_IDS}
BOARDS["desktop_atx"] = board_of(
    load_family("desktop_atx"), [Patch("variants.graphics", "on_board")]
)
any_family = pytest.mark.parametrize("family", FAMILY_IDS)


def gate_points(board: Board) -> list[str]:
    """The points of every gate, and the cold points that arithmetic rests on."""
    guards = [p for g in board.guards_of_power for p in board.fitted_points(g)]
    rails = {rail for point in guards for rail in point.pair or ()}
    cold = [point for rail in sorted(rails) for point in board.cold_points(rail)]
    return sorted({point.id for point in (*guards, *cold)})


def powered(board: Board) -> list[str]:
    return sorted(check.id for check in board.checks.values() if check.is_powered)


def standings(board: Board) -> st.SearchStrategy[dict[str, Standing]]:
    return st.dictionaries(
        st.sampled_from(gate_points(board)),
        st.builds(
            Standing,
            st.sampled_from(["good", "watch", "bad", "unclear", None]),
            st.none() | st.floats(0, 1e6),
            st.booleans(),
            st.booleans(),
        ),
    )


@any_family
def test_power_needs_the_gates_of_the_brief(family: str) -> None:
    board = BOARDS[family]
    assert set(board.family.power_gates) == POWER_GATES[family]
    held = {hold.gate_id for hold in holds(board, FIRST_POWER[family], {})}
    assert held >= POWER_GATES[family]


@any_family
@settings(max_examples=60, deadline=None)
@given(st.data())
def test_a_powered_check_goes_ahead_only_past_every_gate(
    family: str, data: st.DataObject
) -> None:
    board = BOARDS[family]
    stood = data.draw(standings(board))
    check = data.draw(st.sampled_from(powered(board)))
    if not holds(board, check, stood):
        assert all(gate_passes(board, one, stood) for one in POWER_GATES[family])
        guards = {p.id for g in board.guards_of_power for p in board.check(g).points}
        bad = [
            one
            for one, standing in stood.items()
            if standing.standing_word == "bad" and one in guards
        ]
        assert bad == []


@any_family
def test_with_every_gate_good_the_first_power_goes_ahead(family: str) -> None:
    """The law above is not kept by never letting anything pass."""
    board = BOARDS[family]
    good = dict.fromkeys(gate_points(board), Standing("good", 1e4))
    assert holds(board, FIRST_POWER[family], good) == ()


@any_family
@settings(max_examples=60, deadline=None)
@given(st.data())
def test_what_frees_a_check_is_itself_not_held_off(
    family: str, data: st.DataObject
) -> None:
    board = BOARDS[family]
    stood = data.draw(standings(board))
    check = data.draw(st.sampled_from(powered(board)))
    for hold in holds(board, check, stood):
        assert hold.frees in board.checks
        if hold.reason.code in {"gate_unread", "gate_stale"}:
            assert not board.check(hold.frees).is_powered


@any_family
@settings(max_examples=60, deadline=None)
@given(st.data())
def test_main_without_a_good_reading_never_lets_power_pass(
    family: str, data: st.DataObject
) -> None:
    """The cold gate of each family: main's ohms, or those of the plug's pins."""
    board = BOARDS[family]
    stood = data.draw(standings(board))
    first = "k08" if family == "desktop_atx" else "k06"
    for point in board.fitted_points(first):
        spoilt = {**stood, point.id: Standing("bad", 0.2)}
        for check in powered(board):
            assert holds(board, check, spoilt)


@any_family
def test_an_open_main_never_passes_by_arithmetic(family: str) -> None:
    board = BOARDS[family]
    stood = dict.fromkeys(gate_points(board), Standing("good", inf))
    for gate in ("k18", "k19"):
        for point in board.fitted_points(gate):
            stood[point.id] = Standing(None)
        assert not gate_passes(board, gate, stood)
