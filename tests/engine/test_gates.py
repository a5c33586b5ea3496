"""What is held off, why, and what would free it (domain brief, sections 4, 12, 13)."""

from math import inf

import pytest

from diagnostics.engine import gates
from diagnostics.engine.boards import Board, board_of, load_family
from diagnostics.engine.gates import Standing, gate_passes, gate_state, holds
from tests.engine.bench import standing

BOARD = board_of(load_family("laptop_barrel"), not_fitted=frozenset({"graphics"}))
WITH_GRAPHICS = board_of(load_family("laptop_barrel"))
COLD = {"k03/main": 0.01, "k03/mem.q": 0.0, "k03/cpu.core": 0.0, "k04/leads": 0.2}
POWER_GATES = ["k06", "k18", "k19", "k20"]

# Section 12. Two-wire values with leads of 0.2 ohm, as the meter shows them.
CASE_A = COLD | {
    "k05/in.jack": 48e3,
    "k06/main": 0.4,
    "k06/main.in": 0.4,
}
CASE_A_STEP_5 = CASE_A | {
    "k17/cpu.core": 4.3,
    "k11/sb.33": 305.2,
    "k11/sb.5": 800.0,
    "k18/cpu.phase1": 4.5,
    "k18/cpu.phase2": 4.5,
    "k20/sb.33.phase1": 306.2,
    "k20/sb.5.phase1": 801.0,
}
CASE_B = COLD | {
    "k06/main": 62e3,
    "k06/main.in": 62e3,
    "k11/sb.33": 410.0,
    "k11/sb.5": 2300.0,
    "k17/cpu.core": 4.0,
}


def held(board: Board, check: str, stood: dict[str, Standing]) -> dict[str, str]:
    """Gate -> code of the reason."""
    return {hold.gate_id: hold.reason.code for hold in holds(board, check, stood)}


# --- the cases ------------------------------------------------------------------


def test_case_a_power_is_held_off_by_a_shorted_main() -> None:
    stood = standing(BOARD, CASE_A)
    assert stood["k06/main"].word == "bad"
    assert held(BOARD, "k24", stood)["k06"] == "gate_bad"
    hold = holds(BOARD, "k24", stood)[0]
    assert (hold.gate_id, hold.frees) == ("k06", "k06")


def test_case_a_step_5_the_high_sides_read_as_they_should() -> None:
    """4.3 ohm to each phase is main plus core: no high-side short.

    A bare "below 5 ohm is a short" would have called both phases bad.
    """
    stood = standing(BOARD, CASE_A_STEP_5)
    ohms = stood["k18/cpu.phase1"].settled_ohms
    assert ohms == pytest.approx(4.3)
    assert ohms is not None
    assert ohms < 5
    assert gate_state(BOARD, "k18", stood).reason.code == "gate_good"
    assert gate_state(BOARD, "k20", stood).reason.code == "gate_good"
    assert held(BOARD, "k24", stood) == {"k06": "gate_bad"}


def test_case_a_injection_into_main_is_allowed_after_step_5() -> None:
    """k53: the drop map needs the high sides known, not a healthy main."""
    assert holds(BOARD, "k53", standing(BOARD, CASE_A_STEP_5)) == ()
    assert held(BOARD, "k53", standing(BOARD, CASE_A)) == {"k18": "gate_unread"}


def test_case_b_passes_the_high_sides_by_arithmetic() -> None:
    """62 kohm less each rail is far above 500 ohm."""
    stood = standing(BOARD, CASE_B)
    assert holds(BOARD, "k24", stood) == ()
    state = gate_state(BOARD, "k18", stood)
    assert state.reason.code == "gate_by_arithmetic"
    assert state.reason.values["ohms"] == pytest.approx(62e3 - 0.2 - 3.8)
    assert gate_state(BOARD, "k20", stood).reason.code == "gate_by_arithmetic"


def test_a_real_high_side_short_is_held_off() -> None:
    """Core 4.1 ohm; main is dragged down to it; main to phase 2 next to nothing."""
    stood = standing(
        BOARD,
        CASE_A_STEP_5 | {"k06/main": 4.4, "k06/main.in": 4.4, "k18/cpu.phase2": 0.5},
    )
    assert stood["k18/cpu.phase1"].word == "bad"
    assert held(BOARD, "k53", stood) == {"k18": "gate_bad"}


# --- what a gate needs ----------------------------------------------------------


def test_nothing_read_holds_every_powered_check_off() -> None:
    for check in WITH_GRAPHICS.checks.values():
        if check.is_powered:
            assert set(POWER_GATES) <= set(held(WITH_GRAPHICS, check.id, {}))


def test_a_check_without_gates_is_never_held_off() -> None:
    for check in ("k01", "k02", "k03", "k04", "k11", "k17"):
        assert holds(BOARD, check, {}) == ()


def test_a_gate_passes_only_when_each_of_its_points_does() -> None:
    stood = standing(BOARD, COLD | {"k06/main": 62e3})
    assert gate_state(BOARD, "k06", stood).reason.values["point"] == "k06/main.in"
    assert not gate_passes(BOARD, "k06", stood)
    assert gate_passes(BOARD, "k06", standing(BOARD, CASE_B))


@pytest.mark.parametrize(
    ("word", "limited_power", "passes", "code"),
    [
        ("good", False, True, "gate_good"),
        ("watch", False, False, "gate_watch"),
        ("unclear", False, False, "gate_unclear"),
        ("watch", True, True, "gate_limited_power"),
        ("unclear", True, True, "gate_limited_power"),
        ("bad", False, False, "gate_bad"),
        ("bad", True, False, "gate_bad"),
        (None, False, False, "gate_unread"),
        (None, True, True, "gate_limited_power"),
    ],
)
def test_what_a_word_does_to_a_gate(
    word: str | None, limited_power: bool, passes: bool, code: str
) -> None:
    stood = {"k05/in.jack": Standing(word, 48e3, limited_power=limited_power)}
    state = gate_state(BOARD, "k05", stood)
    assert (state.is_passed, state.reason.code) == (passes, code)


def test_a_stale_reading_counts_as_unread_whatever_it_said() -> None:
    for word in ("good", "bad"):
        stood = {"k05/in.jack": Standing(word, 48e3, epoch_is_stale=True)}
        assert gate_state(BOARD, "k05", stood).reason.code == "gate_stale"


def test_a_gate_whose_stage_is_absent_passes() -> None:
    assert gate_state(BOARD, "k19", {}).reason.code == "gate_not_fitted"
    assert "k19" in held(WITH_GRAPHICS, "k24", {})


def test_a_bad_gate_holds_every_powered_check_off() -> None:
    """A swollen pack guards charging alone, but bad it stops all power."""
    fine = standing(BOARD, CASE_B)
    assert holds(BOARD, "k27", fine) == ()
    swollen = fine | standing(BOARD, {"k02/pack": "swollen"})
    for check in BOARD.checks.values():
        if check.is_powered:
            assert held(BOARD, check.id, swollen)["k02"] == "gate_bad", check.id
    assert holds(BOARD, "k11", swollen) == ()


def test_charging_waits_for_the_pack_to_be_looked_at() -> None:
    fine = standing(BOARD, CASE_B)
    assert held(BOARD, "k55", fine) == {"k02": "gate_unread"}
    looked = fine | standing(BOARD, {"k02/pack": "flat_cool_dry"})
    assert holds(BOARD, "k55", looked) == ()


# --- what frees -----------------------------------------------------------------


def frees(board: Board, check: str, gate: str, stood: dict[str, Standing]) -> str:
    return next(h.frees for h in holds(board, check, stood) if h.gate_id == gate)


def test_an_unread_gate_is_freed_by_what_it_needs_first() -> None:
    assert frees(BOARD, "k24", "k06", {}) == "k03"
    assert (
        frees(BOARD, "k24", "k06", standing(BOARD, {k: COLD[k] for k in [*COLD][:3]}))
        == "k04"
    )
    assert frees(BOARD, "k24", "k06", standing(BOARD, COLD)) == "k06"


def test_an_unread_high_side_is_freed_by_the_ohms_of_its_rail() -> None:
    stood = standing(BOARD, COLD | {"k06/main": 62e3, "k06/main.in": 62e3})
    assert frees(BOARD, "k24", "k18", stood) == "k17"
    assert frees(BOARD, "k24", "k20", stood) == "k11"
    low = standing(BOARD, CASE_A | {"k17/cpu.core": 4.3})
    assert frees(BOARD, "k24", "k18", low) == "k18"


def test_a_stale_gate_is_freed_by_reading_it_again() -> None:
    stood = standing(BOARD, CASE_B)
    stood["k06/main"] = Standing("good", 62e3, epoch_is_stale=True)
    assert frees(BOARD, "k24", "k06", stood) == "k06"


# --- arithmetic -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("main", "core", "passes"),
    [
        (62e3, 3.8, True),
        (504.0, 4.0, True),
        (503.0, 4.0, False),
        (inf, 4.0, False),
        (62e3, inf, False),
    ],
)
def test_by_arithmetic_500_ohms_must_be_left_over(
    main: float, core: float, passes: bool
) -> None:
    stood = {
        "k06/main": Standing("good", main),
        "k06/main.in": Standing("good", main),
        "k17/cpu.core": Standing("good", core),
    }
    assert gate_passes(BOARD, "k18", stood) is passes


def test_arithmetic_takes_the_worst_of_several_points() -> None:
    stood = {
        "k06/main": Standing("watch", 400.0),
        "k06/main.in": Standing("good", 62e3),
        "k17/cpu.core": Standing("good", 4.0),
    }
    assert not gate_passes(BOARD, "k18", stood)


@pytest.mark.parametrize("word", ["bad", "unclear"])
def test_arithmetic_rests_only_on_a_main_that_stands(word: str) -> None:
    stood = {
        "k06/main": Standing(word, 62e3),
        "k17/cpu.core": Standing("good", 4.0),
    }
    assert not gate_passes(BOARD, "k18", stood)


def test_arithmetic_never_passes_over_a_bad_reading() -> None:
    stood = standing(BOARD, CASE_B)
    stood["k18/cpu.phase1"] = Standing("bad", 0.3)
    assert gate_state(BOARD, "k18", stood).reason.code == "gate_bad"


def test_arithmetic_settles_an_unclear_reading() -> None:
    stood = standing(BOARD, CASE_B)
    stood["k18/cpu.phase1"] = Standing("unclear", None)
    assert gate_passes(BOARD, "k18", stood)


def test_other_gates_never_pass_by_arithmetic() -> None:
    stood = standing(BOARD, CASE_B)
    assert gate_state(BOARD, "k05", stood).reason.code == "gate_unread"


# --- the yardstick across -------------------------------------------------------


@pytest.mark.parametrize(
    ("main", "rail", "least"),
    [(0.2, 4.1, 3.01), (0.2, 305.0, 213.64), (62e3, 3.8, 1e3), (900.0, 100.0, 700.0)],
)
def test_across_main_and_phase_is_held_against_the_sum(
    main: float, rail: float, least: float
) -> None:
    found = gates.high_side_yardstick(main, rail)
    assert found is not None
    assert found.limit_low == pytest.approx(least)


def test_both_next_to_nothing_can_only_be_told_by_lifting() -> None:
    assert gates.high_side_yardstick(0.1, 0.3) is None
    stood = standing(BOARD, {"k06/main": 0.3, "k17/cpu.core": 0.5})
    assert gates.yardstick_of(BOARD, "k18/cpu.phase1", stood) is None


def test_without_the_rails_ohms_there_is_no_yardstick_across() -> None:
    stood = standing(BOARD, {"k06/main": 0.4})
    assert gates.yardstick_of(BOARD, "k18/cpu.phase1", stood) is None


def test_other_points_keep_the_boards_yardstick() -> None:
    expected = BOARD.yardstick("k06/main")
    assert gates.yardstick_of(BOARD, "k06/main", {}) == expected
    assert gates.yardstick_of(BOARD, "k44/run.5", {}, condition="A") is None
