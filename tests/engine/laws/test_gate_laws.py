"""Whatever was read, power never passes a bad or unread gate."""

from hypothesis import given, settings
from hypothesis import strategies as st

from diagnostics.engine.boards import board_of, load_family
from diagnostics.engine.gates import Standing, gate_passes, guards_of_power, holds

BOARD = board_of(load_family("laptop_barrel"))
GATE_POINTS = [
    point.id for gate in guards_of_power(BOARD) for point in BOARD.check(gate).points
] + ["k17/cpu.core", "k16/gfx.core", "k11/sb.33", "k11/sb.5"]
POWERED = sorted(check.id for check in BOARD.checks.values() if check.is_powered)

STANDINGS = st.dictionaries(
    st.sampled_from(GATE_POINTS),
    st.builds(
        Standing,
        st.sampled_from(["good", "watch", "bad", "unclear", None]),
        st.none() | st.floats(0, 1e6),
        st.booleans(),
        st.booleans(),
    ),
)


@settings(max_examples=100, deadline=None)
@given(STANDINGS, st.sampled_from(POWERED))
def test_a_powered_check_goes_ahead_only_past_every_gate(
    stood: dict[str, Standing], check: str
) -> None:
    if not holds(BOARD, check, stood):
        for gate in ("k06", "k18", "k19", "k20"):
            assert gate_passes(BOARD, gate, stood)
        standing = [stood[point] for point in stood]
        guards = {p.id for g in guards_of_power(BOARD) for p in BOARD.check(g).points}
        bad = [
            one
            for one, s in stood.items()
            if s.standing_word == "bad" and one in guards
        ]
        assert standing
        assert bad == []


@settings(max_examples=100, deadline=None)
@given(STANDINGS, st.sampled_from(POWERED))
def test_what_frees_a_check_is_itself_not_held_off(
    stood: dict[str, Standing], check: str
) -> None:
    for hold in holds(BOARD, check, stood):
        assert hold.frees in BOARD.checks
        if hold.reason.code in {"gate_unread", "gate_stale"}:
            assert not BOARD.check(hold.frees).is_powered


@settings(max_examples=100, deadline=None)
@given(STANDINGS)
def test_main_without_a_good_reading_never_lets_power_pass(
    stood: dict[str, Standing],
) -> None:
    for point in ("k06/main", "k06/main.in"):
        stood = {**stood, point: Standing("bad", 0.2)}
    assert holds(BOARD, "k24", stood)
