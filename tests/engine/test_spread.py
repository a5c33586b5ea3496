"""What the rail tree says of a fault: the brief's section 3, word by word."""

import pytest

from diagnostics.engine.boards import FAMILY_IDS, board_of, load_family
from diagnostics.engine.readings_as import kind_of, state_at
from diagnostics.engine.spread import NO_FAULT, Fault, Spread, faults_of

LAPTOP = board_of(load_family("laptop_barrel"))
COLD = {"ok", "leaky", "short", "joined"}
LIVE = {"up", "gone", "low", "high", "ripple", "weak", "unsure", "short"}
ACROSS = {"apart", "joined", "open"}


def spread(part: str, way: str, net: str = "") -> Spread:
    """The one of a way's faults that touches a net; the first without one."""
    mode = next(mode for mode in LAPTOP.parts[part].modes if mode.id == way)
    faults = faults_of(LAPTOP, mode)
    return Spread(LAPTOP, next(f for f in faults if not net or net in touched(f)))


def touched(fault: Fault) -> set[str]:
    return {*fault.rails, *(fault.bridge or ())}


@pytest.mark.parametrize(
    ("fault", "node", "state"),
    [
        (("p.cmain", "short", ""), "main", "gone"),
        (("p.cmain", "short", ""), "keep5", "gone"),
        (("p.cmain", "short", ""), "in.jack", "up"),
        (("p.cmain", "short", ""), "in.mid", "unsure"),
        (("p.cmain", "leaky", ""), "main", "weak"),
        (("p.adp", "low", ""), "in.mid", "low"),
        (("p.adp", "low", ""), "keep5", "up"),
        (("p.qsb", "high_short", "sb.33"), "sb.33", "high"),
        (("p.qsb", "high_short", "sb.33"), "main", "unsure"),
        (("p.csw", "short", "run.33"), "sb.33", "unsure"),
        (("p.csw", "short", "run.33"), "sb.5", "up"),
        (("p.ccpu", "dried", ""), "cpu.core", "ripple"),
    ],
)
def test_volts_follow_the_tree(
    fault: tuple[str, str, str], node: str, state: str
) -> None:
    assert spread(*fault).live(node) == state


@pytest.mark.parametrize(
    ("fault", "rail", "state"),
    [
        (("p.cmain", "short", ""), "main", "short"),
        (("p.cmain", "leaky", ""), "main", "leaky"),
        (("p.cmain", "short", ""), "in.jack", "ok"),
        (("p.ec", "short", ""), "ec.33", "short"),
        (("p.ec", "short", ""), "keep33", "short"),
        (("p.qsb", "high_short", "sb.33"), "main", "joined"),
    ],
)
def test_ohms_show_a_short_at_its_rail_and_through_a_bead(
    fault: tuple[str, str, str], rail: str, state: str
) -> None:
    assert spread(*fault).cold(rail) == state


def test_across_a_part_it_is_joined_or_open() -> None:
    assert spread("p.rsense", "open").across(("in.mid", "main")) == "open"
    high = spread("p.qcpu", "high_short")
    assert high.across(("main", "cpu.core")) == "joined"
    assert Spread(LAPTOP, NO_FAULT).across(("main", "cpu.core")) == "apart"


def test_what_is_not_fitted_never_fails() -> None:
    bare = board_of(LAPTOP.family, not_fitted=frozenset({"graphics"}))
    assert Spread(bare, Fault("gone", frozenset({"main"}))).live("gfx.core") == "up"


@pytest.mark.parametrize("family", FAMILY_IDS)
def test_every_fault_has_a_state_at_every_point_that_tells(family: str) -> None:
    board = board_of(load_family(family))
    states = {"ohms": COLD, "diode": COLD, "across": ACROSS, "through": ACROSS}
    for part in board.parts.values():
        for mode in part.modes:
            for fault in faults_of(board, mode):
                one = Spread(board, fault)
                for point in board.points.values():
                    kind = kind_of(board, point)
                    if kind is not None:
                        assert state_at(one, point, kind) in states.get(kind, LIVE)
