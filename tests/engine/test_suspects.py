"""Suspects so far: the two worked cases, a textbook's Bayes, and the small print."""

from itertools import product
from math import fsum, log

import pytest

from diagnostics.engine.boards import Board, Patch, board_of, load_family
from diagnostics.engine.errors import EvidenceError
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.readings_as import Seen
from diagnostics.engine.suspects import Done, Evidence, Ranking, posterior, rank
from tests.engine.bench import evidence

BOARD = board_of(load_family("laptop_barrel"))

# Domain brief, section 12; two wires with leads of 0.2 ohm.
CASE_A_STEP_3: dict[str, float | str] = {
    "k01/top": "flux_mark",
    "k02/pack": "flat_cool_dry",
    "k03/main": 0.01,
    "k05/in.jack": 48e3,
    "k06/main": 0.4,
    "k06/main.in": 0.4,
}
CASE_A_STEP_5 = CASE_A_STEP_3 | {
    "k17/cpu.core": 4.3,
    "k11/sb.33": 305.2,
    "k18/cpu.phase1": 4.5,
    "k18/cpu.phase2": 4.5,
    "k20/sb.33.phase1": 306.2,
}
CASE_B_STEP_1: dict[str, float | str] = {
    "k06/main": 62e3,
    "k06/main.in": 62e3,
    "k11/sb.33": 410.0,
    "k11/sb.5": 2300.0,
    "k17/cpu.core": 4.0,
}
CASE_B_STEP_2 = CASE_B_STEP_1 | {"k24/supply": 0.003}
CASE_B_STEP_3 = CASE_B_STEP_2 | {"k27/main": 18.9, "k29/chg.ldo": 5.9}
CASE_B_STEP_4 = CASE_B_STEP_3 | {"k31/keep5": 0.02, "k31/keep33": 0.01}
CASE_B_STEP_5 = CASE_B_STEP_4 | {"k11/keep5": 8400.0, "k11/keep33": 6100.0}
CASE_B_STEP_6 = CASE_B_STEP_5 | {"k31/dual.in": 18.9, "k31/dual.en": 3.1}


def ranked(readings: dict[str, float | str], board: Board = BOARD) -> Ranking:
    return rank(board, Evidence(evidence(board, readings)))


def share(ranking: Ranking, part: str, mode: str = "") -> float:
    """The probability of a part, or of one of its ways of failing."""
    return fsum(
        s.probability
        for s in ranking.suspects
        if s.part_id == part and mode in {"", s.mode_id}
    )


# --- the cases ------------------------------------------------------------------


def test_case_a_the_capacitor_on_main_leads_after_step_3() -> None:
    first = ranked(CASE_A_STEP_3).suspects[0]
    assert (first.part_id, first.mode_id) == ("p.cmain", "short")
    assert first.probability > 0.35


def test_case_a_it_rises_when_the_high_sides_read_fine() -> None:
    before, after = ranked(CASE_A_STEP_3), ranked(CASE_A_STEP_5)
    assert share(after, "p.cmain") > share(before, "p.cmain") + 0.05
    assert share(before, "p.qcpu") > 0.1
    assert share(after, "p.qcpu") < 0.01
    without = board_of(BOARD.family, not_fitted=frozenset({"graphics"}))
    assert share(ranked(CASE_A_STEP_5, without), "p.cmain", "short") > 0.7


def test_case_a_after_the_capacitor_is_off_nothing_points_at_main_any_more() -> None:
    cured = Evidence(
        evidence(BOARD, CASE_A_STEP_5) + evidence(BOARD, {"k06/main": 41e3}, epoch=1),
        (Done(1, "p.cmain", "removed"),),
    )
    after = rank(BOARD, cured)
    assert share(after, "p.cmain") < 0.05
    assert share(after, "p.qchg") < 0.05
    assert after.no_fault > ranked(CASE_A_STEP_5).no_fault


def test_case_b_the_dual_controller_leads_after_step_4() -> None:
    found = [ranked(step) for step in (CASE_B_STEP_2, CASE_B_STEP_3, CASE_B_STEP_4)]
    shares = [share(one, "p.dual", "no_output") for one in found]
    assert shares == sorted(shares)
    first = found[-1].suspects[0]
    assert (first.part_id, first.mode_id) == ("p.dual", "no_output")
    assert first.probability > 0.7


def test_case_b_it_rises_with_its_keep_alive_its_input_and_its_enable() -> None:
    steps = (CASE_B_STEP_4, CASE_B_STEP_5, CASE_B_STEP_6)
    shares = [share(ranked(step), "p.dual", "no_output") for step in steps]
    assert shares[0] < shares[1] < shares[2]
    assert shares[2] > 0.95
    assert share(ranked(CASE_B_STEP_5), "p.dual", "short_keep") < 0.01
    assert share(ranked(CASE_B_STEP_6), "p.bead") < share(
        ranked(CASE_B_STEP_5), "p.bead"
    )


def test_case_b_replaced_and_alive_the_controller_is_no_suspect() -> None:
    after = evidence(
        BOARD,
        {
            "k31/keep5": 5.01,
            "k31/keep33": 3.31,
            "k32/sb.33": 3.33,
            "k32/sb.5": 5.04,
        },
        epoch=1,
    )
    cured = rank(
        BOARD, Evidence(evidence(BOARD, CASE_B_STEP_6) + after, (Done(1, "p.dual"),))
    )
    assert share(cured, "p.dual") < 0.01
    assert cured.no_fault > ranked(CASE_B_STEP_6).no_fault


# --- reasons --------------------------------------------------------------------


def test_a_suspect_says_which_readings_speak_for_it_and_which_against() -> None:
    suspects = ranked(CASE_B_STEP_6).suspects
    dual = next(
        s for s in suspects if (s.part_id, s.mode_id) == ("p.dual", "no_output")
    )
    speaking = {r.values["point"] for r in dual.reasons if r.code == "suspect_for"}
    assert {"k31/keep5", "k31/keep33"} <= speaking
    main = next(s for s in suspects if (s.part_id, s.mode_id) == ("p.cmain", "short"))
    against = {r.values["point"] for r in main.reasons if r.code == "suspect_against"}
    assert {"k06/main", "k06/main.in"} <= against


def test_a_reading_as_on_a_good_board_is_no_reason() -> None:
    assert [s for s in ranked({"k01/top": "burnt"}).suspects if s.reasons] == []


def test_readings_before_a_part_was_touched_are_no_reason_for_it() -> None:
    touched = Evidence(evidence(BOARD, CASE_A_STEP_3), (Done(1, "p.cmain"),))
    main = next(s for s in rank(BOARD, touched).suspects if s.part_id == "p.cmain")
    assert main.reasons == ()


# --- interventions --------------------------------------------------------------


def test_replaced_and_the_fault_stays_speaks_against_the_part() -> None:
    before = ranked(CASE_B_STEP_6)
    again = evidence(BOARD, {"k31/keep5": 0.02, "k31/keep33": 0.01}, epoch=1)
    stays = Evidence(evidence(BOARD, CASE_B_STEP_6) + again, (Done(1, "p.dual"),))
    assert share(rank(BOARD, stays), "p.dual") < share(before, "p.dual") / 1.5
    assert share(rank(BOARD, stays), "p.cmain") < 0.02


def test_lifting_another_part_leaves_the_earlier_readings_speaking() -> None:
    lifted = Evidence(evidence(BOARD, CASE_B_STEP_6), (Done(1, "p.qgfx", "lifted"),))
    assert share(rank(BOARD, lifted), "p.dual") > 0.9


def test_an_act_that_names_no_part_changes_nothing() -> None:
    cleaned = Evidence(evidence(BOARD, CASE_A_STEP_5), (Done(1, "", "cleaned"),))
    assert rank(BOARD, cleaned) == ranked(CASE_A_STEP_5)


def test_a_part_that_is_not_fitted_may_have_been_touched() -> None:
    board = board_of(BOARD.family, not_fitted=frozenset({"graphics"}))
    touched = Evidence(evidence(board, CASE_A_STEP_5), (Done(1, "p.gfx"),))
    assert rank(board, touched).suspects[0].part_id == "p.cmain"


# --- what is no evidence --------------------------------------------------------


@pytest.mark.parametrize(
    "seen",
    [
        Seen("k06/main", "unclear", Outcome.CLIMBING),
        Seen("k06/main", "unclear", Outcome.CANT_REACH),
        Seen("k06/main", "unclear", Outcome.NOT_FITTED),
        Seen("k27/main", "unclear", Outcome.OVER_LIMIT),
        Seen("k18/cpu.phase1", "unclear", Outcome.VALUE, 4.3),
        Seen("k04/leads", "good", Outcome.VALUE, 0.2),
        Seen("k60/sound", "bad", Outcome.CATEGORY),
        Seen("k45/mem.bulk", "bad", Outcome.VALUE, 0.0),
        Seen("k44/run.5", "unclear", Outcome.VALUE, 0.0, condition="A"),
    ],
)
def test_some_readings_say_nothing_of_the_suspects(seen: Seen) -> None:
    assert rank(BOARD, Evidence((seen,))) == rank(BOARD, Evidence())


def test_a_later_reading_that_says_nothing_takes_the_earlier_back() -> None:
    first = evidence(BOARD, {"k06/main": 0.4})
    climbing = Seen("k06/main", "unclear", Outcome.CLIMBING)
    assert rank(BOARD, Evidence((*first, climbing))) == rank(BOARD, Evidence())


def test_only_the_newest_reading_of_a_point_counts() -> None:
    twice = evidence(BOARD, {"k06/main": 0.4}) + evidence(BOARD, {"k06/main": 0.5})
    assert rank(BOARD, Evidence(twice)) == ranked({"k06/main": 0.5})


def test_a_reading_of_another_board_is_refused() -> None:
    with pytest.raises(EvidenceError):
        rank(BOARD, Evidence((Seen("k99/x", "good", Outcome.VALUE, 1.0),)))


# --- each kind of reading ---------------------------------------------------------


@pytest.mark.parametrize(
    ("reading", "part", "mode"),
    [
        ({"k22/fuse": "OL"}, "p.fuse", "open"),
        ({"k22/fuse": 40.0}, "p.fuse", "open"),
        ({"k21/sense": 0.5}, "p.rsense", "open"),
        ({"k07/main": 0.02}, "p.cmain", "short"),
        ({"k07/main": 0.10}, "p.cmain", "leaky"),
        ({"k06/main": 150.0}, "p.cmain", "leaky"),
        ({"k11/keep33": 1.0}, "p.ec", "short"),
        ({"k39/button": "stays_high"}, "p.btn", "stuck"),
        ({"k41/flash": "silent"}, "p.flash", "dead"),
        ({"k38/crystal": 0.0}, "p.xtal", "stopped"),
        ({"k27/main": 0.1}, "p.rsense", "open"),
        ({"k27/main": 12.0}, "p.adp", "low"),
        ({"k30/gate": 0.1}, "p.chgic", "no_output"),
        ({"k24/supply": 0.9}, "p.cmain", "short"),
        ({"k24/supply": 0.0}, "p.jack", "open"),
        ({"k48/cpu.core": 0.0}, "p.cpuctl", "no_output"),
        ({"k32/sb.33": 12.0}, "p.qsb", "high_short"),
        ({"k14/mem.q": 0.5}, "p.mbuck", "short"),
        ({"k34/rtc": 3.0, "k06/main": 0.4}, "p.qchg", "short"),
    ],
)
def test_a_reading_raises_the_part_that_explains_it(
    reading: dict[str, float | str], part: str, mode: str
) -> None:
    before, after = rank(BOARD, Evidence()), ranked(reading)
    assert share(after, part, mode) > 1.3 * share(before, part, mode)


@pytest.mark.parametrize(
    ("reading", "part"),
    [
        ({"k22/fuse": 0.3}, "p.fuse"),
        ({"k07/main": 0.5}, "p.cmain"),
        ({"k06/main": "OL"}, "p.cmain"),
        ({"k39/button": "falls_and_returns"}, "p.btn"),
        ({"k51/supply": 1.2}, "p.cpuctl"),
        ({"k18/cpu.phase1": 900.0, "k06/main": 9e2, "k17/cpu.core": 4.0}, "p.qcpu"),
    ],
)
def test_a_good_reading_lowers_the_part_that_would_spoil_it(
    reading: dict[str, float | str], part: str
) -> None:
    assert share(ranked(reading), part) < share(rank(BOARD, Evidence()), part)


def test_a_p_channel_gate_is_read_by_its_size() -> None:
    board = board_of(BOARD.family, [Patch("variants.input_fets", "p_channel")])
    good, bad = ranked({"k30/gate": -8.0}, board), ranked({"k30/gate": -0.1}, board)
    assert share(bad, "p.chgic") > 2 * share(good, "p.chgic")


def test_a_leaky_main_may_be_a_high_side_onto_a_standby_rail() -> None:
    """Main bridged to sb.33 reads about as sb.33 does: between its bands."""
    assert share(ranked({"k06/main": 450.0}), "p.qsb", "high_short") > 2 * share(
        rank(BOARD, Evidence()), "p.qsb", "high_short"
    )


def test_a_bridge_to_a_rail_without_bands_is_blurred() -> None:
    family = BOARD.family
    bands = Patch("parts.p.qsb.modes.high_short.between", [["main", "chg.detect"]])
    ways = {"high_short": [{"bridge": ["main", "chg.detect"]}]}
    board = board_of(family, [bands, Patch("circuit.faults.p.qsb", ways)])
    assert share(ranked({"k06/main": 150.0}, board), "p.qsb", "high_short") > 0.01


# --- Bayes' rule ------------------------------------------------------------------


def test_the_posterior_agrees_with_a_textbook_screening() -> None:
    """Eddy 1982, as told by Gigerenzer & Hoffrage 1995 (from memory).

    1 % have the illness; the test finds 80 % of them and is wrong for 9.6 % of
    the others: 0.01*0.8 / (0.01*0.8 + 0.99*0.096) = 0.008 / 0.10304 = 0.0776.
    """
    ill, well = ("ill", ""), ("well", "")
    found = posterior({ill: 0.01, well: 0.99}, {ill: log(0.8), well: log(0.096)})
    assert found[ill] == pytest.approx(0.0776398, abs=1e-6)


def test_the_posterior_agrees_with_the_burglary_network() -> None:
    """Pearl 1988; Russell & Norvig, 3rd ed., ch. 14: P(burglary | both call) 0.284.

    P(B) .001, P(E) .002; alarm .95 .94 .29 .001 for BE, B, E, none; John calls
    .90 or .05, Mary .70 or .01 (tables partly from memory). By hand for B: the
    sum over quake and alarm is 0.592243, for no B 0.00149335.
    """
    alarm = {(1, 1): 0.95, (1, 0): 0.94, (0, 1): 0.29, (0, 0): 0.001}

    def both_call(burglary: int) -> float:
        total = 0.0
        for quake, rings in product((1, 0), (1, 0)):
            p_rings = alarm[burglary, quake]
            p = (0.002 if quake else 0.998) * (p_rings if rings else 1 - p_rings)
            total += p * (0.90 * 0.70 if rings else 0.05 * 0.01)
        return total

    yes, no = ("burglary", ""), ("none", "")
    found = posterior(
        {yes: 0.001, no: 0.999}, {yes: log(both_call(1)), no: log(both_call(0))}
    )
    assert found[yes] == pytest.approx(0.284172, abs=1e-6)


def test_the_posterior_of_four_coins_by_hand() -> None:
    """Hand-worked: two bags equally likely, chances 0.9 and 0.5 of heads.

    Heads, heads, tails: 0.9*0.9*0.1 = 0.081 against 0.5^3 = 0.125, so
    0.081 / 0.206 = 0.393204.
    """
    loaded, fair = ("loaded", ""), ("fair", "")
    logs = {loaded: 2 * log(0.9) + log(0.1), fair: 3 * log(0.5)}
    found = posterior({loaded: 1, fair: 1}, logs)
    assert found[loaded] == pytest.approx(0.393204, abs=1e-6)


def test_what_has_no_prior_stays_impossible() -> None:
    found = posterior({("a", ""): 1, ("b", ""): 0}, {("a", ""): -5, ("b", ""): 0})
    assert found == {("a", ""): 1.0, ("b", ""): 0.0}


def test_with_nothing_read_blocks_are_equal() -> None:
    """Nine stages share alike; a trace that may lie anywhere comes on top."""
    ranking = rank(BOARD, Evidence())
    sums: dict[str, float] = {}
    for one in ranking.suspects:
        block = BOARD.parts[one.part_id].block
        sums[block] = sums.get(block, 0) + one.probability
    on_top = sums.pop("anywhere")
    assert len(sums) == 9
    assert max(sums.values()) == pytest.approx(min(sums.values()))
    assert on_top == pytest.approx(0.05 * sums["cpu"])
