"""The circuit of a family: what it holds, and how its reading refuses nonsense."""

import tomllib
from pathlib import Path

import pytest

from diagnostics.deadboards.family import INPUT_OF, benchmark_board
from diagnostics.engine.boards import load_family_text
from diagnostics.engine.circuit.parts import (
    GROUND,
    NO_FAULT,
    Change,
    Circuit,
    Feed,
    Junction,
    Link,
    Load,
)
from diagnostics.engine.errors import FamilyError
from tests.engine.small_board import WITH_CIRCUIT, changed
from tests.engine.small_family import SMALL, line_of

WRONG = tomllib.loads(
    Path(__file__).with_name("wrong_circuits.toml").read_text(encoding="utf-8")
)["wrong"]


def circuit_of(text: str) -> Circuit:
    circuit = load_family_text(text, "small.toml").circuit
    assert circuit is not None
    return circuit


def test_a_family_may_leave_its_circuit_out() -> None:
    assert load_family_text(SMALL, "small.toml").circuit is None


def test_every_section_is_read_to_its_last_value() -> None:
    circuit = circuit_of(WITH_CIRCUIT)
    assert circuit.loads[0] == Load(
        "in.jack", (20e3, 200e3), drop=(0.45, 0.65), amps=(0.005, 0.006)
    )
    assert circuit.links[0] == Link("coil_1", ("phase_1", "core"), (0.001, 0.01))
    assert circuit.junctions[1] == Junction("high_2", "phase_2", "in.jack", (0.37, 0.5))
    assert circuit.feeds == (
        Feed("adapter", "source", "in.jack", volts=19.0, amps=3.0),
        Feed(
            "core",
            "buck",
            "core",
            "in.jack",
            volts=0.9,
            amps=6.0,
            spread=0.02,
            states="B",
            waits=("in.jack",),
            phases=("phase_1", "phase_2"),
            inductors=("coil_1", "coil_2"),
            high_sides=("high_1", "high_2"),
        ),
        Feed(
            "good",
            "line",
            "good",
            "in.jack",
            volts=3.3,
            least={"core": 0.5},
            pull_up="good_pull_up",
        ),
    )
    assert circuit.faults == {
        NO_FAULT: (),
        ("p.jack", "open"): (Change("dead", "adapter"),),
        ("p.jack", "short"): (Change("short", "in.jack"),),
        ("p.stage", "high"): (
            Change("bridge", "in.jack", "phase_1"),
            Change("leak", "core", ohms=(0.02, 0.3), chance=0.5),
        ),
    }


def test_feeds_come_in_the_order_of_the_file() -> None:
    """They are gone through in that order."""
    assert [one.id for one in circuit_of(WITH_CIRCUIT).feeds] == [
        "adapter",
        "core",
        "good",
    ]


def test_nets_are_all_that_is_named_but_ground() -> None:
    nets = ("in.jack", "core", "phase_1", "phase_2", "good")
    assert circuit_of(WITH_CIRCUIT).nets == nets
    grounded = changed('high_2 = { from = "phase_2"', 'high_2 = { from = "ground"')
    assert GROUND not in circuit_of(grounded).nets


BRIDGE = '{ bridge = ["in.jack", "phase_1"] }'


@pytest.mark.parametrize(
    ("now", "change"),
    [
        (
            '{ bridge = ["phase_1", "ground"] }',
            Change("bridge", "phase_1", "ground"),
        ),
        ('{ open = "coil_1" }', Change("open", "coil_1")),
        ('{ open = "high_1" }', Change("open", "high_1")),
        ('{ open = "good_pull_up" }', Change("open", "good_pull_up")),
        ('{ low = "adapter", chance = 1 }', Change("low", "adapter")),
        ('{ weak = "adapter" }', Change("weak", "adapter")),
        ('{ worn = "good" }', Change("worn", "good")),
        (
            '{ short = "phase_1", ohms = [1.0, 2.0] }',
            Change("short", "phase_1", ohms=(1.0, 2.0)),
        ),
    ],
)
def test_every_kind_of_change_reads(now: str, change: Change) -> None:
    circuit = circuit_of(changed(BRIDGE, now))
    assert circuit.faults["p.stage", "high"][0] == change


@pytest.mark.parametrize("wrong", WRONG, ids=[w["is"] for w in WRONG])
def test_what_makes_no_sense_is_refused_with_file_line_and_key(
    wrong: dict[str, str],
) -> None:
    text = changed(wrong["was"], wrong["is"])
    with pytest.raises(FamilyError) as caught:
        load_family_text(text, "small.toml")
    error = caught.value
    assert (error.code, error.values["key"]) == (wrong["code"], wrong["key"])
    assert error.values["file"] == "small.toml"
    assert error.values["line"] == line_of(text, wrong["line_with"])


@pytest.mark.parametrize("family", INPUT_OF)
def test_every_way_of_failing_of_the_benchmarks_board_is_in_its_circuit(
    family: str,
) -> None:
    """But for parts that the variant does not have."""
    board = benchmark_board(family)
    circuit = board.family.circuit
    assert circuit is not None
    ways = {(part.id, mode.id) for part in board.parts.values() for mode in part.modes}
    assert set(circuit.faults) - {NO_FAULT} == ways
