"""The laptop with USB-C input: what its readings mean (brief 2b, 3, 4, 13.6)."""

import pytest

from diagnostics.engine.boards import Patch, board_of, load_family
from diagnostics.engine.gates import gate_state, holds
from diagnostics.engine.meters import HANDHELD, standard_uncertainty
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.readings_as import state_at
from diagnostics.engine.spread import Fault, Spread
from diagnostics.engine.twins import with_twins
from diagnostics.engine.verdicts import (
    RED_ON_GROUND,
    Observed,
    Verdict,
    Word,
    judge,
)
from tests.engine.bench import observed, standing
from tests.engine.shop_models import assessed, model

GOOD, WATCH, BAD, UNCLEAR = Word.GOOD, Word.WATCH, Word.BAD, Word.UNCLEAR
BARREL, FAMILY = load_family("laptop_barrel"), load_family("laptop_usbc")
BOARD = board_of(FAMILY)

# Section 4: the checks of LC are those of LB, less five, and three more.
OF_BARREL_ALONE = {"k05", "k22", "k23", "k26", "k28"}
OF_USBC_ALONE = {"k09", "k10", "k25"}
# What must be read before the first power, all of it good.
COLD = {
    "k03/main": 0.0,
    "k03/mem.q": 0.0,
    "k03/cpu.core": 0.0,
    "k06/main": 62e3,
    "k06/main.in": 41e3,
    "k11/sb.33": 410.0,
    "k11/sb.5": 2.3e3,
    "k16/gfx.core": 2.9,
    "k17/cpu.core": 4.0,
    "k09/c.cc1": 0.61,
    "k09/c.cc2": 0.60,
    "k10/c.vbus": 48e3,
}


def read(point_id: str, value: float | str) -> Verdict:
    seen = observed(BOARD, point_id, value)
    return judge(seen, BOARD.yardstick(point_id))


def test_its_checks_are_those_of_the_brief() -> None:
    assert set(FAMILY.checks) == set(BARREL.checks) - OF_BARREL_ALONE | OF_USBC_ALONE


def test_nothing_of_the_jack_is_left() -> None:
    assert not {"in.jack", "in.mid"} & set(FAMILY.rails)
    assert not {"p.fuse"} & set(FAMILY.parts)
    hung = [rail.id for rail in FAMILY.rails.values() if "in.jack" in rail.needs]
    assert hung == []


def test_its_gates_are_those_of_the_brief() -> None:
    gates = {c.id: set(c.gates) for c in FAMILY.checks.values() if c.gates}
    assert gates.pop("k25") == {"k09", "k10", "k06"}
    of_barrel = {c.id: set(c.gates) for c in BARREL.checks.values() if c.gates}
    del of_barrel["k05"]
    assert gates == of_barrel
    assert FAMILY.power_gates == ("k06", "k18", "k19", "k20")


@pytest.mark.parametrize(
    ("rail", "ok_from", "watch_below", "short_below"),
    [
        ("c.vbus", 10e3, 2e3, 20),
        ("c.cc1", 5100 * 0.9, 3e3, 500),
        ("c.cc2", 5100 * 0.9, 3e3, 500),
        ("c.pdv", 1e3, 300, 20),
        ("c.path", 1e3, 300, 20),
        ("main", 1e3, 300, 20),
        ("chg.sw", 500, 100, 5),
    ],
)
def test_ohms_are_those_of_the_brief(
    rail: str, ok_from: float, watch_below: float, short_below: float
) -> None:
    ohms = FAMILY.rails[rail].ohms
    assert ohms is not None
    assert (ohms.ok_from, ohms.watch_below, ohms.short_below) == pytest.approx(
        (ok_from, watch_below, short_below)
    )


@pytest.mark.parametrize(
    ("part", "mode", "weight"),
    [("p.pdc", "no_output", 15), ("p.pdc", "cc_short", 8), ("p.jack", "open", 24)],
)
def test_weights_are_those_of_the_brief(part: str, mode: str, weight: float) -> None:
    modes = {one.id: one.weight for one in FAMILY.parts[part].modes}
    assert modes[mode] == weight


# --- verdicts -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("point_id", "value", "word"),
    [
        ("k10/c.vbus", 48e3, GOOD),
        ("k10/c.vbus", 3.0, BAD),
        ("k10/c.vbus", 1e3, WATCH),
        ("k06/main.in", 2.0, BAD),
        ("k07/chg.sw", 0.45, GOOD),
        ("k07/c.pdv", 0.05, WATCH),
        ("k27/main", 12.4, GOOD),
        ("k27/main", 19.0, BAD),
        ("k27/c.path", 19.8, GOOD),
        ("k27/c.path", 0.0, BAD),
        ("k27/c.pdv", 3.3, GOOD),
        ("k25/c.vbus", 5.1, GOOD),
        ("k25/c.vbus", 0.0, BAD),
        ("k25/contract", 20.1, GOOD),
        ("k44/c.out", 5.1, GOOD),
        ("k44/c.out", 3.9, BAD),
    ],
)
def test_readings_of_the_port(point_id: str, value: float, word: Word) -> None:
    assert read(point_id, value).word is word


def test_nothing_given_out_is_no_fault_while_nothing_is_plugged_in() -> None:
    """2b: off unless a sink is attached."""
    verdict = read("k44/c.out", 0.0)
    assert verdict.word is UNCLEAR
    assert [one.code for one in verdict.reasons] == ["may_be_absent"]
    assert "mark_not_fitted" in verdict.settle


@pytest.mark.parametrize(
    ("cells", "volts"), [("two_cells", 8.2), ("three_cells", 12.5), ("four_cells", 16)]
)
def test_main_keeps_near_the_packs_voltage(cells: str, volts: float) -> None:
    board = board_of(FAMILY, [Patch("variants.main", cells)])
    seen = observed(board, "k27/main", volts)
    assert judge(seen, board.yardstick("k27/main")).word is GOOD
    others = {"two_cells", "three_cells", "four_cells"} - {cells}
    for other in others:
        board = board_of(FAMILY, [Patch("variants.main", other)])
        assert judge(seen, board.yardstick("k27/main")).word is BAD


# --- stuck at 5 V: trap 6 -------------------------------------------------------


@pytest.mark.parametrize("course", ["stuck_at_5_V", "trying_at_5_V"])
def test_stuck_at_5_v_is_unclear_and_never_bad(course: str) -> None:
    """Section 13, 6: contract failed: cable, source, CC, controller; not the board."""
    check = BOARD.check("k25")
    assert check.patterns[course] == "unclear"
    seen = Observed(Outcome.CATEGORY, category=course)
    verdict = judge(seen, None, category_words=check.patterns)
    assert verdict.word is UNCLEAR
    assert verdict.settle


def test_5_v_typed_without_its_course_is_not_bad_either() -> None:
    assert read("k25/contract", 5.1).word is WATCH


def test_without_a_contract_the_port_is_expected_to_stay_at_5_v() -> None:
    """A source that gives nothing is another fault than one that is not asked."""
    point = BOARD.point("k25/contract")
    states = {
        node: state_at(Spread(BOARD, Fault("gone", frozenset({node}))), point, "volts")
        for node in ("pd.contract", "c.pdv", "c.cc1", "c.vbus", "sb.33")
    }
    assert states == {
        "pd.contract": "low",
        "c.pdv": "low",
        "c.cc1": "low",
        "c.vbus": "gone",
        "sb.33": "up",
    }


def test_cycling_is_bad() -> None:
    assert BOARD.check("k25").patterns["cycling"] == "bad"


def test_the_check_says_that_the_board_is_not_proven_dead() -> None:
    assert "not proven dead" in BOARD.check("k25").risk


@pytest.mark.long
def test_without_a_contract_the_port_side_is_suspected_and_not_the_board() -> None:
    """Bus power 5 V, controller supplied, nothing behind the MOSFETs."""
    readings = {
        **COLD,
        "k25/c.vbus": 5.1,
        "k25/contract": 5.1,
        "k27/c.pdv": 3.3,
        "k27/c.path": 0.0,
        "k27/main": 0.0,
    }
    found = assessed(model("laptop_usbc"), readings)
    blocks = {BOARD.parts[one.part_id].block for one in found.suspects[:2]}
    assert blocks <= {"power_in", "anywhere"}
    assert found.suspects[0].part_id in {"p.adp", "p.pdc", "p.qin"}


# --- gates ----------------------------------------------------------------------


def test_with_every_gate_good_the_contract_may_be_tried() -> None:
    stood = standing(
        BOARD, {point: value for point, value in COLD.items() if point[1:3] != "09"}
    )
    for point in ("k09/c.cc1", "k09/c.cc2"):
        stood |= standing(BOARD, {point: 0.6})
    assert gate_state(BOARD, "k06", stood).is_passed
    held = {hold.gate_id for hold in holds(BOARD, "k25", stood)}
    assert held == set()


@pytest.mark.parametrize("gate", ["k06", "k09", "k10", "k18", "k19", "k20"])
def test_each_gate_unread_holds_the_contract_off(gate: str) -> None:
    rests_on = {"k18": "k17", "k19": "k16", "k20": "k11"}.get(gate, gate)
    left = {p: v for p, v in COLD.items() if not p.startswith(rests_on)}
    held = {hold.gate_id for hold in holds(BOARD, "k25", standing(BOARD, left))}
    assert gate in held


# --- alike within 0.03 V --------------------------------------------------------


def line(volts: float) -> Verdict:
    u = standard_uncertainty(HANDHELD, "D", volts).u
    seen = Observed(Outcome.VALUE, volts, u, "D", RED_ON_GROUND)
    return judge(seen, BOARD.yardstick("k09/c.cc1"))


@pytest.mark.parametrize(
    ("one", "other", "word"),
    [(0.61, 0.60, GOOD), (0.58, 0.55, GOOD), (0.62, 0.58, WATCH), (0.58, 0.62, WATCH)],
)
def test_both_lines_must_be_alike(one: float, other: float, word: Word) -> None:
    """k09: 0.5 to 0.75 V, and within 0.03 V of each other."""
    verdict = with_twins(BOARD.check("k09"), line(one), one, [other])
    assert verdict.word is word
    codes = [reason.code for reason in verdict.reasons]
    assert ("unlike_its_twin" in codes) is (word is WATCH)


def test_a_line_alone_has_nothing_to_be_unlike() -> None:
    assert with_twins(BOARD.check("k09"), line(0.61), 0.61, []).word is GOOD


def test_what_is_not_good_stays_as_it_is() -> None:
    low = line(0.2)
    assert low.word is WATCH
    assert with_twins(BOARD.check("k09"), low, 0.2, [0.6]) is low


def test_other_checks_have_no_twins() -> None:
    verdict = read("k10/c.vbus", 48e3)
    assert with_twins(BOARD.check("k10"), verdict, 48e3, [1.0]) is verdict
