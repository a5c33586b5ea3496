"""The desktop with an ATX supply: what its readings mean (domain brief, 2c, 3, 4)."""

from dataclasses import replace

import pytest

from diagnostics.engine.assess import assess
from diagnostics.engine.boards import Board, Patch, board_of, load_family
from diagnostics.engine.evidence import Evidence, Seen
from diagnostics.engine.gates import gate_state, holds, yardstick_of
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.readings_as import state_at
from diagnostics.engine.spread import NO_FAULT, Fault, Spread
from diagnostics.engine.verdicts import Verdict, Word, judge
from tests.engine.bench import observed, standing
from tests.engine.shop_models import NOTHING_HELD, assessed, model, share

GOOD, WATCH, BAD, UNCLEAR = Word.GOOD, Word.WATCH, Word.BAD, Word.UNCLEAR
FAMILY = load_family("desktop_atx")
BOARD = board_of(FAMILY)
DESKTOP = model("desktop_atx")
ON_BOARD = board_of(FAMILY, [Patch("variants.graphics", "on_board")])

# Section 4: the checks marked all or DA.
OF_LAPTOPS = {
    "k02", "k05", "k06", "k07", "k09", "k10", "k20", "k21", "k22", "k23", "k24",
    "k25", "k26", "k27", "k28", "k29", "k30", "k31", "k55", "k56", "k63",
}  # fmt: skip
# And k64 to k66, which the project asks for: what the board does, what was told.
CHECKS = {f"k{n:02}" for n in range(1, 67)} - OF_LAPTOPS
PLUG = {
    "k08/atx.5sb": 820.0,
    "k08/atx.12": 3.1e3,
    "k08/atx.12cpu": 9.4e3,
    "k08/atx.5": 410.0,
    "k08/atx.33": 180.0,
}
COLD = {
    "k03/atx.5sb": 0.0,
    "k03/atx.12cpu": 0.0,
    "k03/mem.q": 0.0,
    "k03/cpu.core": 0.0,
    **PLUG,
    "k17/cpu.core": 160.0,
}


def read(
    point_id: str, value: float | str, board: Board = BOARD, fitted: str = ""
) -> Verdict:
    inside = frozenset(fitted.split())
    seen = replace(observed(board, point_id, value), fitted=inside)
    return judge(seen, board.yardstick(point_id, fitted=inside))


def test_its_checks_are_those_of_the_brief() -> None:
    assert set(FAMILY.checks) == CHECKS


def test_it_has_no_charge_stage() -> None:
    assert [stage.id for stage in FAMILY.stages] == (
        "power_in standby control sleep memory chipset graphics cpu".split()
    )
    assert "charge" not in FAMILY.blocks


def test_its_gates_are_those_of_the_brief() -> None:
    gates = {c.id: set(c.gates) for c in FAMILY.checks.values() if c.gates}
    assert gates == {
        "k08": {"k03"},
        "k43": {"k08", "k18", "k19"},
        "k47": {"k19"},
        "k48": {"k18"},
        "k53": {"k18", "k19"},
        "k54": {"k18", "k19"},
        "k62": {"k03"},
    }
    assert FAMILY.power_gates == ("k08", "k18", "k19")


def test_main_is_the_12_v_of_the_cpu_plug() -> None:
    assert {point.pair for point in BOARD.check("k18").points} == {
        ("atx.12cpu", "cpu.core")
    }
    assert BOARD.mains == {"atx.12cpu", "atx.12"}


@pytest.mark.parametrize(
    ("rail", "ok_from", "watch_below", "short_below"),
    [
        ("atx.5sb", 200, 50, 5),
        ("atx.12", 500, 100, 5),
        ("atx.12cpu", 500, 100, 5),
        ("atx.5", 100, 30, 3),
        ("atx.33", 50, 15, 2),
        ("sb.33", 200, 50, 5),
        ("dual.5", 300, 80, 5),
        ("mem.q", 30, 10, 1),
        ("cs.core", 8, 2, 0.3),
        ("cpu.core", 50, 10, 1),
    ],
)
def test_ohms_are_those_of_the_brief(
    rail: str, ok_from: float, watch_below: float, short_below: float
) -> None:
    ohms = FAMILY.rails[rail].ohms
    assert ohms is not None
    assert (ohms.ok_from, ohms.watch_below, ohms.short_below) == (
        ok_from,
        watch_below,
        short_below,
    )


# --- the CPU in or out ----------------------------------------------------------


@pytest.mark.parametrize(
    ("ohms", "fitted", "word"),
    [
        (160.0, "", GOOD),
        (6.0, "", WATCH),
        (0.4, "", BAD),
        (6.0, "cpu", GOOD),
        (0.4, "cpu", UNCLEAR),
    ],
)
def test_the_core_has_other_ohms_with_the_cpu_in(
    ohms: float, fitted: str, word: Word
) -> None:
    """CPU out 50/10/1 ohm; in 1/0.3/0.1, where two wires decide nothing."""
    seen = observed(BOARD, "k17/cpu.core", ohms + 0.2)
    inside = frozenset(fitted.split())
    yardstick = BOARD.yardstick("k17/cpu.core", fitted=inside)
    assert judge(replace(seen, fitted=inside), yardstick).word is word


def test_the_bands_follow_the_cpu() -> None:
    core = FAMILY.rails["cpu.core"]
    with_cpu = core.ohms_in({"cpu"})
    assert with_cpu is not None
    assert with_cpu.needs_four_wire
    assert (with_cpu.ok_from, with_cpu.watch_below, with_cpu.short_below) == (
        1.0,
        0.3,
        0.1,
    )
    assert core.diode_in(()) == (0.15, 0.45)
    assert core.diode_in({"cpu", "modules"}) == (0.001, 0.06)
    assert core.ohms_in({"modules"}) == core.ohms


@pytest.mark.parametrize("point_id", ["k48/cpu.core", "k49/cpu.aux"])
def test_0_v_without_a_cpu_is_no_fault(point_id: str) -> None:
    """2c: 0 V with no CPU is normal."""
    without = read(point_id, 0.0)
    assert (without.word, without.settle) == (UNCLEAR, ("put_in",))
    assert [one.code for one in without.reasons] == ["taken_without"]
    assert read(point_id, 0.0, fitted="cpu").word is WATCH
    assert read(point_id, 1.1, fitted="cpu").word is GOOD


def test_0_v_without_a_cpu_speaks_for_no_suspect() -> None:
    without = Seen("k48/cpu.core", "", Outcome.VALUE, 0.0, condition="B")
    found = assess(DESKTOP, Evidence((without,)), NOTHING_HELD)
    assert found == assess(DESKTOP, Evidence(), NOTHING_HELD)
    fitted = replace(without, fitted=frozenset({"cpu"}))
    assert assess(DESKTOP, Evidence((fitted,)), NOTHING_HELD).measured == 1


# --- the supply -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("point_id", "value", "word"),
    [
        ("k08/atx.5sb", 820.0, GOOD),
        ("k08/atx.5sb", 2.2, BAD),
        ("k08/atx.33", 20.0, UNCLEAR),
        ("k08/atx.12cpu", 0.8, BAD),
        ("k32/atx.5sb", 5.05, GOOD),
        ("k32/atx.5sb", 0.0, BAD),
        ("k35/atx.on", 4.9, GOOD),
        ("k35/atx.on", 0.2, BAD),
        ("k43/atx.on", 0.1, GOOD),
        ("k43/atx.on", 4.9, BAD),
        ("k43/atx.ok", 4.8, GOOD),
        ("k43/atx.ok", 0.1, BAD),
        ("k44/atx.12", 12.1, GOOD),
        ("k44/atx.12", 10.5, BAD),
        ("k44/atx.n12", -11.7, GOOD),
        ("k44/atx.n12", -9.0, BAD),
        ("k47/slot.12", 11.2, GOOD),
    ],
)
def test_readings_of_the_supply(point_id: str, value: float, word: Word) -> None:
    assert read(point_id, value).word is word


def test_minus_12_v_may_be_absent() -> None:
    verdict = read("k44/atx.n12", 0.0)
    assert verdict.word is UNCLEAR
    assert [one.code for one in verdict.reasons] == ["may_be_absent"]
    nothing = assess(DESKTOP, Evidence(), NOTHING_HELD)
    absent = assessed(DESKTOP, {"k44/atx.n12": 0.0})
    assert share(absent, "p.adp") < 1.5 * share(nothing, "p.adp")


def test_a_request_that_never_comes_reads_high() -> None:
    """Active low: asked is 0 V, and not asked is what pulls it up."""
    point = BOARD.point("k43/atx.on")
    never = Spread(BOARD, Fault("gone", frozenset({"atx.on"})))
    assert state_at(never, point, "volts") == "high"
    assert state_at(Spread(BOARD, NO_FAULT), point, "volts") == "up"
    gone = Spread(BOARD, Fault("gone", frozenset({"atx.ok"})))
    assert state_at(gone, BOARD.point("k43/atx.ok"), "volts") == "gone"
    dead = Spread(BOARD, Fault("gone", frozenset({"atx.5sb"})))
    assert state_at(dead, point, "volts") == "gone"


def test_a_request_that_stays_high_points_at_what_asks() -> None:
    readings = {**COLD, "k32/atx.5sb": 5.05, "k32/sb.33": 3.3, "k43/atx.on": 4.9}
    top = assessed(DESKTOP, readings).suspects[0].part_id
    assert BOARD.parts[top].block in {"control", "chipset"}


def test_asked_but_not_good_points_at_the_supply_or_its_rails() -> None:
    readings = {
        **COLD,
        "k32/atx.5sb": 5.05,
        "k43/atx.on": 0.1,
        "k43/atx.ok": 0.0,
        "k44/atx.12": 0.0,
        "k44/atx.12cpu": 12.1,
    }
    assert assessed(DESKTOP, readings).suspects[0].part_id in {"p.adp", "p.jack"}


# --- gates ----------------------------------------------------------------------


def test_with_the_plug_and_the_core_read_the_supply_may_be_switched_on() -> None:
    """k18 passes by arithmetic: 9.4 kohm less 160 ohm; k19 has nothing to read."""
    stood = standing(BOARD, COLD)
    assert holds(BOARD, "k43", stood) == ()
    assert gate_state(BOARD, "k18", stood).reason.code == "gate_by_arithmetic"
    assert gate_state(BOARD, "k19", stood).reason.code == "gate_not_fitted"


def test_a_graphics_chip_on_the_board_has_its_gate() -> None:
    held = {hold.gate_id for hold in holds(ON_BOARD, "k43", standing(ON_BOARD, COLD))}
    assert held == {"k19"}


def test_a_shorted_graphics_stage_falls_to_its_core_and_stops_at_the_plug() -> None:
    """Not said to be on the board: 12 V reads about its core, and the gate is bad."""
    stood = standing(BOARD, {**COLD, "k08/atx.12": 0.7})
    held = {hold.gate_id: hold.reason.code for hold in holds(BOARD, "k43", stood)}
    assert held == {"k08": "gate_bad"}


@pytest.mark.parametrize("point_id", PLUG)
def test_each_pin_of_the_plug_is_asked_before_power(point_id: str) -> None:
    left = {point: ohms for point, ohms in COLD.items() if point != point_id}
    held = {hold.gate_id for hold in holds(BOARD, "k32", standing(BOARD, left))}
    assert "k08" in held


def test_the_high_side_is_held_against_12_v_and_the_core() -> None:
    """k18: not below 0.7 x (R main + R core), at most 1 kohm."""
    stood = standing(BOARD, {**COLD, "k08/atx.12cpu": 100.2, "k17/cpu.core": 4.2})
    yardstick = yardstick_of(BOARD, "k18/cpu.phase1", stood)
    assert yardstick is not None
    assert yardstick.limit_low == pytest.approx(0.7 * (100.0 + 4.0))
