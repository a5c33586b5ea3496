"""Good boards of our families by their circuits, against the families' own bands.

The bands are the domain brief's tables (section 2) and the standards that rails.toml
names; the circuits are written apart from them.
"""

from collections import Counter

import numpy as np
import pytest

from diagnostics.engine.boards import FAMILY_IDS, Patch, board_of, load_family
from diagnostics.engine.circuit.of_board import circuit_of
from diagnostics.engine.circuit.parts import NO_FAULT, split
from tests.engine.circuit.family_boards import good, words

pytestmark = pytest.mark.long

MEMORY = ("ddr3", "ddr3l", "lpddr4x", "lpddr5", "ddr5")
BOARDS = [
    *[(family,) for family in FAMILY_IDS],
    *[("laptop_barrel", f"variants.memory={kind}") for kind in MEMORY],
    *[("desktop_atx", f"variants.memory={kind}") for kind in MEMORY],
    ("laptop_barrel", "variants.main=two_cells"),
    ("laptop_barrel", "variants.main=four_cells"),
    ("laptop_barrel", "variants.input_fets=p_channel", "variants.flash=v18"),
    ("laptop_barrel", "counts.cpu_phases=6"),
    ("laptop_usbc", "variants.main=two_cells"),
    ("laptop_usbc", "variants.main=four_cells", "variants.port=extended"),
    ("desktop_atx", "variants.graphics=on_board", "variants.flash=v18"),
]


@pytest.mark.parametrize("which", BOARDS, ids=" ".join)
def test_a_good_board_is_never_bad_and_nearly_always_good(
    which: tuple[str, ...],
) -> None:
    of = good(*which)
    told = Counter(word for column in of.found.points for word in words(of, column))
    assert told["bad"] == 0
    assert told["good"] > 0.9 * told.total()


@pytest.mark.parametrize("family", FAMILY_IDS)
def test_every_powered_rail_and_every_cold_one_is_predicted(family: str) -> None:
    """But for what the circuit leaves out with its reason (circuit.toml)."""
    of = good(family)
    known = {*of.found.points, *of.found.answers}
    left_out = {"k23/in.jack", "k62/feed", "k55/charge"}
    missing = [
        point.id
        for check in of.board.checks.values()
        for point in of.board.fitted_points(check.id)
        if (check.is_powered or check.mode in "RCD")
        and point.id not in known | left_out
        and (point.rail or point.signal or point.pair)
    ]
    assert missing == []


@pytest.mark.parametrize("family", FAMILY_IDS)
def test_every_way_of_failing_is_in_the_circuit_with_all_of_its_places(
    family: str,
) -> None:
    loaded = load_family(family)
    assert loaded.circuit is not None
    found: dict[tuple[str, str], set[str]] = {}
    for fault in loaded.circuit.faults:
        part, mode, place = split(fault)
        found.setdefault((part, mode), set()).add(place)
    found.pop(NO_FAULT)
    assert found == {
        (part.id, mode.id): _places(mode.one_of, mode.between)
        for part in loaded.parts.values()
        for mode in part.modes
    }


def _places(one_of: tuple[str, ...], between: tuple[tuple[str, str], ...]) -> set[str]:
    """A way of failing that may be at one of many places is one for each."""
    many = {*one_of, *(rail for _main, rail in between)}
    return many if len(many) > 1 else {""}


@pytest.mark.parametrize("family", FAMILY_IDS)
def test_only_what_shows_nowhere_changes_nothing(family: str) -> None:
    """A pack, which is out; a load switch on at rest, where no check reads it."""
    circuit = load_family(family).circuit
    assert circuit is not None
    empty = {fault for fault, changes in circuit.faults.items() if not changes}
    assert empty - {NO_FAULT} <= {
        ("p.pack", "worn"),
        ("p.pack", "dead_gauge"),
        ("p.qsw", "short"),
    }


@pytest.mark.parametrize(
    ("family", "answers"),
    [
        ("laptop_barrel", {"k24/supply": "steady", "k51/supply": "moving"}),
        ("laptop_usbc", {"k24/supply": "steady", "k25/contract": "steady"}),
        ("desktop_atx", {"k51/supply": "moving"}),
    ],
)
def test_a_good_board_is_answered_as_good(family: str, answers: dict[str, str]) -> None:
    """The first category of each check, all of which are words for good."""
    of = good(family)
    firsts = {
        point: chances.names[0]
        for point, chances in of.found.answers.items()
        if point not in {"k24/supply", "k25/c.vbus"}
    }
    for point, answer in (firsts | answers).items():
        assert (of.chance(NO_FAULT, point, answer) > 0.8).all(), point


def test_the_volts_follow_a_boards_patch() -> None:
    """A model that says its chipset runs at 0.95 V."""
    volts = {"low": 0.90, "high": 1.0, "nominal": 0.95, "basis": "jd", "source": "x"}
    patched = Patch("rails.cs.core.volts", volts)
    circuit = circuit_of(board_of(load_family("laptop_barrel"), [patched]))
    (feed,) = [one for one in circuit.feeds if one.to == "cs.core"]
    assert feed.volts == 0.95
    assert feed.spread == pytest.approx(0.012)


def test_the_two_configuration_lines_are_alike() -> None:
    """Within 0.03 V of each other (domain brief, k09)."""
    of = good("laptop_usbc")
    apart = of.values(NO_FAULT, "k09/c.cc1") - of.values(NO_FAULT, "k09/c.cc2")
    assert (np.abs(apart) < 0.03).all()
