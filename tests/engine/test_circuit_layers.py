"""The circuit of a family that builds on another, and the order of feeds."""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from diagnostics.deadboards.family import INPUT_OF, benchmark_board
from diagnostics.engine.boards import Rail, load_family, load_family_texts
from diagnostics.engine.circuit.parts import NO_FAULT, Circuit, Feed
from diagnostics.engine.errors import FamilyError
from diagnostics.engine.family_feeds import in_order, level_of
from tests.engine.small_board import WITH_CIRCUIT
from tests.engine.small_family import LARGER, line_of

LEFT_OUT = '[leaves_out]\n"circuit.faults" = ["p.jack"]\n"circuit.loads" = ["core"]\n'
OWN = """
[circuit]
shorts_by_bands = true

[circuit.loads]
core = { ohms = [2.0, 9.0] }
plug = { ohms = [1e3, 2e3] }

[circuit.faults."p.jack"]
open = [{ dead = "adapter" }]
"""


def larger(own: str = OWN, left_out: str = LEFT_OUT) -> str:
    assert LARGER.count("[leaves_out]\n") == 1
    return LARGER.replace("[leaves_out]\n", left_out) + own


def circuit_of(text: str) -> Circuit:
    texts = {"small.toml": WITH_CIRCUIT, "larger.toml": text}
    circuit = load_family_texts(texts).circuit
    assert circuit is not None
    return circuit


def test_each_section_is_taken_over_for_itself() -> None:
    base = load_family_texts({"small.toml": WITH_CIRCUIT}).circuit
    assert base is not None
    own = circuit_of(larger())
    assert [load.net for load in own.loads] == ["in.jack", "core", "plug"]
    assert own.loads[1].ohms == (2.0, 9.0)
    assert (own.links, own.junctions) == (base.links, base.junctions)
    assert own.hold_leads
    ways = {way for part, way in own.faults if part == "p.jack"}
    assert ways == {"open"}


def test_what_belongs_to_a_part_that_is_left_out_goes_with_it() -> None:
    """Nobody need name its faults."""
    left_out = '[leaves_out]\nparts = ["p.jack"]\n'
    text = larger("", left_out).splitlines()
    text = [line for line in text if not line.startswith('"parts.p.jack.modes"')]
    own = circuit_of("\n".join(text))
    assert set(own.faults) == {NO_FAULT, ("p.stage", "high")}


@pytest.mark.parametrize(
    ("own", "key"),
    [
        ("[circuit.loads]\ncore = { ohms = [2.0, 9.0] }", "circuit.loads.core"),
        ("[circuit]\nhold_leads = false", "circuit.hold_leads"),
    ],
)
def test_what_stands_in_both_is_refused_where_it_is_written(own: str, key: str) -> None:
    text = larger(own, '[leaves_out]\n"circuit.faults" = ["p.jack"]\n')
    with pytest.raises(FamilyError) as caught:
        circuit_of(text)
    error = caught.value
    assert (error.code, error.values["key"]) == ("not_left_out", key)
    assert error.values["file"] == "larger.toml"
    assert error.values["line"] == line_of(text, own.splitlines()[1])


def test_what_is_not_there_can_not_be_left_out() -> None:
    with pytest.raises(FamilyError) as caught:
        circuit_of(larger("", '[leaves_out]\n"circuit.moons" = ["core"]\n'))
    assert caught.value.code == "unknown_reference"


def test_a_circuit_may_stand_in_several_files_but_an_id_in_one() -> None:
    more = '[circuit.loads]\n"{}" = {{ ohms = [1.0, 2.0] }}\n'
    texts = {"small.toml": WITH_CIRCUIT, "more.toml": more.format("good")}
    circuit = load_family_texts(texts).circuit
    assert circuit is not None
    assert circuit.loads[-1].net == "good"
    with pytest.raises(FamilyError) as caught:
        load_family_texts(texts | {"more.toml": more.format("core")})
    assert (caught.value.code, caught.value.values["file"]) == (
        "duplicate_id",
        "more.toml",
    )


# --- feeds ------------------------------------------------------------------------


def order(*feeds: Feed) -> Sequence[str]:
    return [feed.id for feed in in_order(feeds)]


def test_what_hangs_on_another_comes_after_it() -> None:
    core = Feed("core", "buck", "core", "main", waits=("run",), least={"good": 1.0})
    rest = [
        Feed("run", "switch", "run", "main"),
        Feed("good", "line", "good", "run"),
        Feed("main", "source", "main"),
        Feed("bench", "source", "main", states="K"),
    ]
    assert order(core, *rest) == ["main", "bench", "run", "good", "core"]


def test_a_loop_is_cut_where_it_is_met() -> None:
    one, two = Feed("a", "line", "a", "b"), Feed("b", "line", "b", "a")
    assert order(one, two) == ["b", "a"]
    gate = Feed("gate", "line", "gate", "middle", above=6.0)
    path = Feed("path", "path", "out", "in", middle="middle", gate="gate")
    assert order(gate, path) == ["gate", "path"]


@pytest.mark.parametrize("family", INPUT_OF)
def test_an_order_that_is_right_stays(family: str) -> None:
    circuit = benchmark_board(family).family.circuit
    assert circuit is not None
    assert in_order(circuit.feeds) == circuit.feeds


RAIL = load_family("laptop_barrel").rails["keep33"]  # 3.3 V, 3.168 to 3.432 V


def level(**changed: object) -> tuple[float, float]:
    rail: Rail = replace(RAIL, **changed)  # type: ignore[arg-type]
    return level_of(rail)


def test_a_feed_that_states_no_volts_follows_its_rail() -> None:
    assert level() == (3.3, 0.012)
    assert level(nominal=None)[0] == pytest.approx(3.3)


def test_no_good_board_lies_outside_the_limits() -> None:
    """1 % of room: three spreads and more fit into it."""
    volts, spread = level(low=3.267, high=3.333)
    assert volts == 3.3
    assert spread == pytest.approx(0.01 / 3.3)


def test_wide_limits_hold_several_designs_which_differ() -> None:
    """2.7 to 3.9 V: 18 % either way."""
    volts, spread = level(low=2.7, high=3.9)
    assert volts == 3.3
    assert spread == pytest.approx(0.6 / 3.3 / 3.3)


def test_a_nominal_at_the_edge_only_names_a_class() -> None:
    """Three cells: 11.1 V is their name, 11.0 to 13.2 V what main has."""
    assert level(nominal=11.1, low=11.0, high=13.2)[0] == pytest.approx(12.1)


def test_commanded_volts_fill_their_usual_range() -> None:
    volts, spread = level(nominal=None, low=0.6, high=1.4, is_commanded=True)
    assert volts == pytest.approx(1.0)
    assert spread == pytest.approx(0.2)


def test_a_short_that_states_no_ohms_lies_under_the_bands() -> None:
    """Of main: below 20 ohms; of a net without bands it is left to the cloud."""
    circuit = load_family("laptop_barrel").circuit
    assert circuit is not None
    main = circuit.faults["p.cmain", "short"][0].ohms
    assert main == pytest.approx((0.04, 18.0))
    assert circuit_of(larger()).faults["p.jack", "open"][0].ohms is None
