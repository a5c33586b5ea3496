"""Suspects and offers on a laptop: the worked cases, each kind of evidence.

The readings of the two cases and what they point at are the domain brief's
(section 12); the parts that readings speak of are its section 3.
"""

from dataclasses import replace

import pytest

from diagnostics.engine.assess import assess
from diagnostics.engine.boards import board_of, load_family_text
from diagnostics.engine.circuit.predict import predict
from diagnostics.engine.errors import EvidenceError
from diagnostics.engine.evidence import Done, Evidence, Seen, Sight, Situation
from diagnostics.engine.models import Model, model_of
from diagnostics.engine.offers import chain_to
from diagnostics.engine.pairs import opened
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.telling import parts_out
from tests.engine.made_up import made, weighing
from tests.engine.shop_models import NOTHING_HELD, assessed, model, seen, share
from tests.engine.small_board import WITH_CIRCUIT, with_checks

LAPTOP = model("laptop_barrel")
BOARD = LAPTOP.board
NOTHING = Evidence()

CASE_A_STEP_3: dict[str, float | str] = {
    "k01/top": "flux_mark",
    "k02/pack": "flat_cool_dry",
    "k05/in.jack": 48e3,
    "k06/main": 0.2,
    "k06/main.in": 0.2,
}
CASE_A_STEP_5 = CASE_A_STEP_3 | {
    "k17/cpu.core": 4.1,
    "k11/sb.33": 305.0,
    "k18/cpu.phase1": 4.3,
    "k18/cpu.phase2": 4.3,
    "k20/sb.33.phase1": 305.0,
}
CASE_B_STEP_2: dict[str, float | str] = {
    "k06/main": 62e3,
    "k06/main.in": 62e3,
    "k11/sb.33": 410.0,
    "k11/sb.5": 2300.0,
    "k17/cpu.core": 4.0,
    "k24/supply": 0.003,
}
CASE_B_STEP_3 = CASE_B_STEP_2 | {"k27/main": 18.9, "k29/chg.ldo": 5.9}
CASE_B_STEP_4 = CASE_B_STEP_3 | {"k31/keep5": 0.02, "k31/keep33": 0.01}
CASE_B_STEP_5 = CASE_B_STEP_4 | {"k11/keep5": 8400.0, "k11/keep33": 6100.0}
CASE_B_STEP_6 = CASE_B_STEP_5 | {"k31/dual.in": 18.9, "k31/dual.en": 3.1}
ALIVE = {"k31/keep5": 5.01, "k31/keep33": 3.31, "k32/sb.33": 3.33, "k32/sb.5": 5.04}


# --- the cases ------------------------------------------------------------------

ON_MAIN = ("p.cmain", "p.qchg", "p.chgic", "p.qcpu", "p.qgfx", "p.qsb")


def test_case_a_a_short_on_main_is_by_what_hangs_on_main() -> None:
    found = assessed(LAPTOP, CASE_A_STEP_3)
    assert sum(share(found, part) for part in ON_MAIN) > 0.95
    assert found.no_fault < 0.01


def test_case_a_the_high_sides_read_fine_and_the_capacitor_leads() -> None:
    before, after = assessed(LAPTOP, CASE_A_STEP_3), assessed(LAPTOP, CASE_A_STEP_5)
    assert share(before, "p.qcpu") > 0.1
    assert share(after, "p.qcpu") < 0.02
    assert share(after, "p.cmain") > share(before, "p.cmain") + 0.05
    graphics = replace(LAPTOP, board=replace(BOARD, not_fitted=frozenset({"graphics"})))
    first = assessed(graphics, CASE_A_STEP_5).suspects[0]
    assert first.key == ("p.cmain", "short")


def test_case_a_after_the_capacitor_is_off_nothing_points_at_main_any_more() -> None:
    cured = Evidence(
        seen(BOARD, CASE_A_STEP_5) + seen(BOARD, {"k06/main": 41e3}, epoch=1),
        (Done(1, "p.cmain", "removed"),),
    )
    after = assess(LAPTOP, cured, NOTHING_HELD)
    assert all(share(after, part) < 0.05 for part in ("p.cmain", "p.qchg"))
    assert after.no_fault > 5 * assessed(LAPTOP, CASE_A_STEP_5).no_fault


def test_case_b_the_dual_controller_leads_after_step_4() -> None:
    steps = (CASE_B_STEP_2, CASE_B_STEP_3, CASE_B_STEP_4)
    found = [assessed(LAPTOP, step) for step in steps]
    shares = [share(one, "p.dual", "no_output") for one in found]
    assert shares == sorted(shares)
    assert found[-1].suspects[0].key == ("p.dual", "no_output")
    assert shares[-1] > 0.7


def test_case_b_its_enable_is_the_next_best_check_and_settles_it() -> None:
    here = Situation("A", passed_by=frozenset(CASE_B_STEP_5))
    before = assessed(LAPTOP, CASE_B_STEP_5, situation=here)
    assert before.next_best is not None
    assert before.next_best.point_id == "k31/dual.en"
    assert "p.bead:open" in str(before.next_best.why.values["suspects"])
    after = assessed(LAPTOP, CASE_B_STEP_6)
    assert share(after, "p.dual", "no_output") > 0.95
    assert share(after, "p.bead") < share(before, "p.bead") / 10
    assert after.confidence > 0.95


def test_case_b_replaced_and_alive_the_controller_is_no_suspect() -> None:
    after = seen(BOARD, CASE_B_STEP_6) + seen(BOARD, ALIVE, epoch=1)
    cured = assess(LAPTOP, Evidence(after, (Done(1, "p.dual"),)), NOTHING_HELD)
    assert share(cured, "p.dual") < 0.01
    assert cured.no_fault > 5 * assessed(LAPTOP, CASE_B_STEP_6).no_fault


def test_case_b_replaced_and_the_fault_stays_it_is_more_likely_something_else() -> None:
    """Nothing else in the family explains it: the name is no longer sure."""
    again = seen(BOARD, {"k31/keep5": 0.02, "k31/keep33": 0.01}, epoch=1)
    stays = Evidence(seen(BOARD, CASE_B_STEP_6) + again, (Done(1, "p.dual"),))
    found = assess(LAPTOP, stays, NOTHING_HELD)
    assert share(found, "p.dual") < 0.5
    assert found.something_else > 0.5


# --- each kind of reading ---------------------------------------------------------


@pytest.mark.parametrize(
    ("reading", "part", "mode"),
    [
        ({"k22/fuse": "OL"}, "p.fuse", "open"),
        ({"k22/fuse": 40e3}, "p.fuse", "open"),
        ({"k21/sense": 1.5e6}, "p.rsense", "open"),
        ({"k07/main": 0.002}, "p.cmain", "short"),
        ({"k06/main": 150.0}, "p.cmain", "leaky"),
        ({"k11/keep33": 1.0}, "p.ec", "short"),
        ({"k39/button": "stays_high"}, "p.btn", "stuck"),
        ({"k41/flash": "silent"}, "p.flash", "dead"),
        ({"k38/crystal": 0.0}, "p.xtal", "stopped"),
        ({"k27/main": 0.3}, "p.rsense", "open"),
        ({"k30/gate": 0.1}, "p.chgic", "no_output"),
        ({"k24/supply": 0.0}, "p.jack", "open"),
        ({"k48/cpu.core": 0.0}, "p.cpuctl", "no_output"),
        ({"k32/sb.33": 19.0}, "p.qsb", "high_short"),
        ({"k14/mem.q": 0.5}, "p.mbuck", "short"),
        ({"k06/main": 0.4}, "p.qchg", "short"),
    ],
)
def test_a_reading_raises_the_part_that_explains_it(
    reading: dict[str, float | str], part: str, mode: str
) -> None:
    before, after = assess(LAPTOP, NOTHING, NOTHING_HELD), assessed(LAPTOP, reading)
    assert share(after, part, mode) > 1.3 * share(before, part, mode)


@pytest.mark.parametrize(
    ("reading", "part"),
    [
        ({"k22/fuse": 0.02}, "p.fuse"),
        ({"k07/main": 0.47}, "p.cmain"),
        ({"k06/main": 90e3}, "p.cmain"),
        ({"k39/button": "falls_and_returns"}, "p.btn"),
        ({"k48/cpu.core": 0.95}, "p.cpuctl"),
        ({"k18/cpu.phase1": 90e3, "k06/main": 90e3, "k17/cpu.core": 4.0}, "p.qcpu"),
    ],
)
def test_a_good_reading_lowers_the_part_that_would_spoil_it(
    reading: dict[str, float | str], part: str
) -> None:
    before = assess(LAPTOP, NOTHING, NOTHING_HELD)
    assert share(assessed(LAPTOP, reading), part) < share(before, part)


@pytest.mark.parametrize(
    "one",
    [
        Seen("k06/main", "", Outcome.CLIMBING),
        Seen("k06/main", "", Outcome.CANT_REACH),
        Seen("k06/main", "", Outcome.NOT_FITTED),
        Seen("k27/main", "", Outcome.OVER_LIMIT, condition="A"),
        Seen("k60/sound", "bad", Outcome.CATEGORY, answer="fails"),
        Seen("k07/main", "", Outcome.VALUE, 0.01, is_turned=True),
        Seen("k44/run.5", "", Outcome.VALUE, 0.0, condition="A"),
        Seen("k14/mem.q", "", Outcome.VALUE, 0.5, fitted=frozenset({"modules"})),
        Seen("k32/sb.5", "", Outcome.VALUE, 0.0, fitted=frozenset({"pack"})),
    ],
)
def test_some_readings_say_nothing_of_the_suspects(one: Seen) -> None:
    found = assess(LAPTOP, Evidence((one,)), NOTHING_HELD)
    assert found == assess(LAPTOP, NOTHING, NOTHING_HELD)


def test_a_reading_of_another_board_is_refused() -> None:
    with pytest.raises(EvidenceError):
        assess(
            LAPTOP, Evidence((Seen("k99/x", "good", Outcome.VALUE, 1.0),)), NOTHING_HELD
        )


# --- readings of one point ----------------------------------------------------------


def test_two_readings_of_a_point_that_agree_are_less_likely_missed() -> None:
    """OL in diode mode on a fuse is what a missed contact shows, too."""
    once = seen(BOARD, {"k22/fuse": "OL"})
    twice = assess(LAPTOP, Evidence(once + once), NOTHING_HELD)
    single = assess(LAPTOP, Evidence(once), NOTHING_HELD)
    assert share(twice, "p.fuse") > share(single, "p.fuse")
    assert twice.disagreements == ()
    assert twice.measured == single.measured == 1


def test_two_readings_that_contradict_each_other_are_told_and_name_nobody() -> None:
    both = seen(BOARD, CASE_B_STEP_6) + seen(BOARD, {"k31/keep5": 5.02})
    found = assess(LAPTOP, Evidence(both), NOTHING_HELD)
    assert ("k31/keep5",) in [one.points for one in found.disagreements]
    assert found.disagreements[0].why.code == "read_unlike"
    assert found.confidence <= 0.5


def test_readings_that_no_fault_explains_together_are_told() -> None:
    """Both standby rails up, and no main behind them."""
    readings = CASE_B_STEP_3 | {"k27/main": 0.02, "k32/sb.33": 3.3, "k32/sb.5": 5.0}
    found = assessed(LAPTOP, readings)
    assert "no_single_fault" in [one.why.code for one in found.disagreements]
    assert found.confidence <= 0.5


# --- other evidence -----------------------------------------------------------------


def test_what_another_told_counts_but_less() -> None:
    ours = seen(BOARD, {"k48/cpu.core": 0.0})
    told = tuple(replace(one, is_told=True) for one in ours)
    nothing, half, whole = (
        share(assess(LAPTOP, Evidence(one), NOTHING_HELD), "p.cpuctl")
        for one in ((), told, ours)
    )
    assert nothing < half < whole


@pytest.mark.parametrize(
    "sight",
    [
        Sight("burnt", "p.qcpu"),
        Sight("corroded", "p.qcpu"),
        Sight("burnt", rail="main"),
    ],
)
def test_what_is_seen_at_a_part_or_its_rail_raises_it(sight: Sight) -> None:
    before = assess(LAPTOP, NOTHING, NOTHING_HELD)
    after = assess(LAPTOP, Evidence(sights=(sight,)), NOTHING_HELD)
    assert share(after, "p.qcpu") > 2 * share(before, "p.qcpu")


def test_the_fault_as_told_makes_its_blocks_likelier() -> None:
    def of_block(told: dict[str, float | str]) -> float:
        found = assessed(LAPTOP, told)
        blocks = {one.part_id: BOARD.parts[one.part_id].block for one in found.suspects}
        return sum(share(found, part) for part in blocks if blocks[part] == "charge")

    assert of_block({"k65/told": "does_not_charge"}) > 2 * of_block({})
    assert of_block({"k65/told": "runs_without_picture"}) < of_block({})


def test_a_technician_may_strike_a_suspect_or_add_one() -> None:
    evidence = Evidence(seen(BOARD, CASE_B_STEP_4))
    key = ("p.dual", "no_output")
    struck = assess(LAPTOP, replace(evidence, struck=frozenset({key})), NOTHING_HELD)
    assert share(struck, *key) == 0
    bead = ("p.bead", "open")
    added = assess(LAPTOP, replace(evidence, added=frozenset({bead})), NOTHING_HELD)
    plain = assess(LAPTOP, evidence, NOTHING_HELD)
    assert share(added, *bead) > 2 * share(plain, *bead)


def test_a_lifted_part_shows_no_fault_of_its_own() -> None:
    """Lifted, and the short is gone: it was the part."""
    short = {"k06/main": 0.2}
    gone = seen(BOARD, short) + seen(BOARD, {"k06/main": 90e3}, epoch=1)
    stays = seen(BOARD, short) + seen(BOARD, short, epoch=1)
    lifted = (Done(1, "p.cmain", "lifted"),)
    before = share(assessed(LAPTOP, short), "p.cmain")
    assert (
        share(assess(LAPTOP, Evidence(gone, lifted), NOTHING_HELD), "p.cmain") > before
    )
    assert share(assess(LAPTOP, Evidence(stays, lifted), NOTHING_HELD), "p.cmain") < 0.1


def test_power_on_a_board_that_lacks_a_part_in_series_tells_nothing() -> None:
    dead = seen(BOARD, {"k27/main": 0.0}, epoch=1)
    lifted = (Done(1, "p.qin", "lifted"),)
    alone = assess(LAPTOP, Evidence((), lifted), NOTHING_HELD)
    assert assess(LAPTOP, Evidence(dead, lifted), NOTHING_HELD) == alone
    put_back = (*lifted, Done(2, "p.qin", "fitted"))
    again = seen(BOARD, {"k27/main": 0.0}, epoch=2)
    found = assess(LAPTOP, Evidence(again, put_back), NOTHING_HELD)
    assert found.measured == 1


def test_cleaning_where_a_part_was_lifted_does_not_put_it_back() -> None:
    done = (Done(1, "p.qin", "lifted"), Done(2, "p.qin", "cleaned"))
    assert parts_out(done, until=2) == {"p.qin"}
    assert parts_out((*done, Done(3, "p.qin", "fitted")), until=3) == set()


def test_lifting_another_part_leaves_the_earlier_readings_speaking() -> None:
    found = assessed(LAPTOP, CASE_B_STEP_6, Done(1, "p.qgfx", "reflowed"))
    assert share(found, "p.dual") > 0.9


def test_an_act_that_names_no_part_changes_nothing() -> None:
    cleaned = assessed(LAPTOP, CASE_A_STEP_5, Done(1, "", "cleaned"))
    assert cleaned == assessed(LAPTOP, CASE_A_STEP_5)


# --- two faults ---------------------------------------------------------------------


def test_a_pair_is_looked_at_where_no_single_fault_explains() -> None:
    """A short on a standby rail and one on the memory rail: no single fault is both."""
    readings = CASE_B_STEP_2 | {"k11/sb.33": 0.5, "k14/mem.q": 0.3, "k24/supply": 0.012}
    one, both = {**readings, "k14/mem.q": 150.0}, readings
    assert share(assessed(LAPTOP, one), "p.mbuck") < 0.01
    found = assessed(LAPTOP, both)
    assert share(found, "p.mbuck", "short") > 0.2
    others = 1 - found.no_fault - found.something_else - share(found, "p.mbuck")
    assert others > 0.2
    assert found.disagreements == ()


# --- offers -------------------------------------------------------------------------

POWERED = [check.id for check in BOARD.checks.values() if check.is_powered]


def test_what_is_held_off_is_never_offered_but_its_gate_is() -> None:
    held = Situation(held=dict.fromkeys(POWERED, "k06"))
    found = assessed(LAPTOP, {"k05/in.jack": 48e3}, situation=held)
    assert found.offers
    for offer in found.offers:
        assert not BOARD.check(offer.check_id).is_powered
    gate = next(one for one in found.offers if one.check_id == "k06")
    assert gate.why.code in {"gate_of", "tells_apart", "narrows_down"}


def test_where_nothing_can_free_it_power_is_no_offer() -> None:
    held = Situation(held=dict.fromkeys(POWERED, ""))
    found = assessed(LAPTOP, CASE_A_STEP_3, situation=held)
    assert all(not BOARD.check(one.check_id).is_powered for one in found.offers)


def test_the_first_power_is_the_limited_one() -> None:
    found = assessed(LAPTOP, CASE_B_STEP_2 | {"k24/supply": 0.0})
    assert found.offers
    fresh = dict.fromkeys(("k06/main", "k06/main.in", "k11/sb.33"), 62e3)
    cold = Situation("U", passed_by=frozenset(fresh))
    offers = assessed(LAPTOP, {"k06/main": 62e3}, situation=cold).offers
    powered = [one for one in offers if BOARD.check(one.check_id).is_powered]
    assert {one.check_id for one in powered} <= {"k24", "k23"}


def test_an_offer_counts_the_change_of_condition() -> None:
    cold = {o.point_id: o for o in assessed(LAPTOP, CASE_B_STEP_3).offers}
    live = assessed(LAPTOP, CASE_B_STEP_3, situation=Situation("A"))
    offer = next(o for o in live.offers if o.point_id == "k31/keep5")
    assert not offer.changes_condition
    assert offer.minutes == pytest.approx(0.5)
    assert "k31/keep5" not in cold or cold["k31/keep5"].changes_condition


def test_when_nothing_is_open_it_says_so() -> None:
    everything = Situation(passed_by=frozenset(BOARD.points))
    sure = assessed(LAPTOP, CASE_B_STEP_6, situation=everything)
    unsure = assessed(LAPTOP, CASE_B_STEP_3, situation=everything)
    for found, code in ((sure, "sure_enough"), (unsure, "nothing_open")):
        assert found.next_best is None
        assert found.stop is not None
        assert found.stop.code == code
        assert found.confirm is None


def test_it_stops_when_it_is_sure_and_offers_a_proof_before_the_iron() -> None:
    read = Situation("A", passed_by=frozenset(CASE_B_STEP_6))
    found = assessed(LAPTOP, CASE_B_STEP_6, situation=read)
    assert found.stop is not None
    assert found.stop.code in {"sure_enough", "nothing_open"}


# --- what is told ---------------------------------------------------------------------


def test_a_suspect_says_which_readings_speak_for_it_and_which_against() -> None:
    found = assessed(LAPTOP, CASE_B_STEP_6)
    first = found.suspects[0]
    speaking = {one.values["point"]: one.values for one in first.speaks_for}
    assert {"k31/keep5", "k31/keep33"} <= speaking.keys()
    keep5 = speaking["k31/keep5"]
    assert keep5["value"] == 0.02
    assert float(keep5["high"] or 0) < 1
    assert float(keep5["usual_low"] or 0) > 4.5
    others = assessed(LAPTOP, CASE_B_STEP_4).suspects
    fuse = next(one for one in others if one.part_id == "p.fuse")
    assert "k27/main" in {one.values["point"] for one in fuse.against}


def test_a_frequency_is_told_as_it_was_read() -> None:
    found = assessed(
        LAPTOP, {"k38/crystal": 0.0, "k36/side1": 3.3, "k42/sleep.s4": 0.0}
    )
    crystal = next(one for one in found.suspects if one.part_id == "p.xtal")
    told = {one.values["point"]: one.values for one in crystal.speaks_for}
    assert told["k38/crystal"] == {"point": "k38/crystal", "unit": "Hz", "value": 0.0}


def test_a_part_of_high_risk_comes_after_one_of_less_that_explains_the_same() -> None:
    """A short on the core rail: the power stage, or a capacitor beside it."""
    found = assessed(LAPTOP, {"k17/cpu.core": 0.02})
    first = BOARD.parts[found.suspects[0].part_id]
    assert first.risk != "high"
    assert found.suspects[0].part_id == "p.ccpu"


def test_a_healthy_board_is_called_so_and_what_was_not_looked_at_is_told() -> None:
    answers = BOARD.checks["k64"].categories
    runs = next(answer for answer, word in answers.items() if word == "good")
    good: dict[str, float | str] = {"k48/cpu.core": 0.95, "k51/supply": 1.2}
    found = assessed(LAPTOP, good | {"k64/board": runs})
    assert found.is_healthy
    assert found.measured == 3
    assert "standby" in found.not_looked_at
    assert "cpu" not in found.not_looked_at


def test_shares_add_up_and_nothing_is_certain() -> None:
    for readings in (CASE_A_STEP_5, CASE_B_STEP_6, {}):
        found = assessed(LAPTOP, readings)
        shares = [one.probability for one in found.suspects]
        assert sum([*shares, found.no_fault, found.something_else]) == pytest.approx(1)
        assert max([*shares, found.no_fault]) < 1
        assert found.something_else >= 0.0099


# --- the small print ------------------------------------------------------------------


def test_where_everything_is_struck_nobody_is_suspected() -> None:
    keys = frozenset(key for key in LAPTOP.rows_of if key[0])
    found = assess(LAPTOP, Evidence(struck=keys), NOTHING_HELD)
    assert found.suspects == ()
    assert found.confirm is None
    assert found.confidence == found.no_fault > 0.9
    assert not found.is_healthy  # nothing was measured
    read = Evidence(seen(BOARD, {"k06/main": 90e3}), struck=keys)
    assert assess(LAPTOP, read, NOTHING_HELD).is_healthy


def test_it_stops_where_more_would_cost_more_than_it_saves() -> None:
    """The memory rail is up at its volts: its ohms would hardly tell more."""
    left = frozenset(BOARD.points) - {"k14/mem.q"}
    read = {"k45/mem.q": 1.2, "k45/mem.tt": 0.6, "k48/cpu.core": 0.95}
    found = assessed(LAPTOP, read, situation=Situation("B", passed_by=left))
    assert [offer.point_id for offer in found.offers] == ["k14/mem.q"]
    assert found.next_best is None
    assert found.stop is not None
    assert found.stop.code == "not_worth_it"
    assert found.stop.values["minutes"] == found.offers[0].minutes


def test_a_course_of_the_current_counts_by_its_word() -> None:
    """Hunting: a converter tries again and again (brief, section 2)."""
    hunting = Seen("k24/supply", "", Outcome.VALUE, 0.04, 0, "A", answer="hunting")
    steady = replace(hunting, answer="steady")
    found = [
        assess(LAPTOP, Evidence((one,)), NOTHING_HELD) for one in (hunting, steady)
    ]
    assert share(found[0], "p.csb") > 2 * share(found[1], "p.csb")


def test_answers_that_differ_disagree() -> None:
    both = seen(BOARD, {"k39/button": "stays_high"}) + seen(
        BOARD, {"k39/button": "falls_and_returns"}
    )
    found = assess(LAPTOP, Evidence(both), NOTHING_HELD)
    assert found.disagreements[0].points == ("k39/button",)


# --- a model and its offers, small enough to see through ------------------------------


@pytest.fixture(scope="module")
def small() -> Model:
    """One supply, one converter of two phases; k05 and k18 before any power."""
    board = board_of(load_family_text(WITH_CIRCUIT, "small.toml"))
    return model_of(board, predict(board, 12))


def test_the_phases_of_one_converter_are_read_against_each_other() -> None:
    more = """
[checks.k50]
name = "phases, volts"
stage = "cpu"
mode = "V"
condition = "B"
form = "values"
points = [
  { id = "p1", signal = "phase.1", label = "phase 1" },
  { id = "p2", signal = "phase.2", label = "phase 2" },
]
minutes = 2

[signals."phase.1"]
name = "phase 1"
stage = "cpu"
needs = ["in.jack"]

[signals."phase.2"]
name = "phase 2"
stage = "cpu"
needs = ["in.jack"]
"""
    text = with_checks(more)
    for number in "12":
        text = text.replace(f"phase_{number}", f"phase.{number}")
    board = board_of(load_family_text(text, "small.toml"))
    one = model_of(board, predict(board, 4))
    places = [one.kernels.place[point] for point in ("k50/p1", "k50/p2")]
    assert [twins[:2] for twins in one.asker.twins] == [tuple(places)]


def test_a_gate_that_waits_for_itself_holds_its_check_off(small: Model) -> None:
    held = Situation(held={"k48": "k05", "k05": "k48"})
    assert chain_to(small, held, "k48/core") is None
    free = Situation(held={"k48": "k05"})
    assert chain_to(small, free, "k48/core") == ["k05/in.jack", "k48/core"]
    read = Situation(held={"k48": "k05"}, passed_by=frozenset({"k05/in.jack"}))
    assert chain_to(small, read, "k48/core") is None


def test_one_fault_makes_no_pair() -> None:
    one = weighing(made({"rail": "R"}, {"": {"rail": 1e4}, "cap.short": {"rail": 0.2}}))
    assert opened(one, []).rows == ()
