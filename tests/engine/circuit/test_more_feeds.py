"""Several sources, overloads held at a limit, and what else a feed may say.

Volts by Ohm's and Kirchhoff's laws on circuits that leave nothing open.
"""

from dataclasses import replace

import numpy as np
import pytest

from diagnostics.engine.circuit import cold
from diagnostics.engine.circuit.cloud import DRIFTS, Cloud
from diagnostics.engine.circuit.cold import Probe
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import (
    GROUND,
    NO_FAULT,
    Change,
    Circuit,
    Fault,
    Link,
    Load,
)
from diagnostics.engine.circuit.powered import QUIET_AMPS, Powered, supply_amps
from tests.engine.circuit.small_circuit import CIRCUIT, FEEDS, feed, point

BOARDS = 40
BROKEN: Fault = ("p", "broken")


def every(value: float) -> Floats:
    return np.full(BOARDS, value)


def cloud_of(circuit: Circuit, *changes: Change) -> Cloud:
    return Cloud(replace(circuit, faults={NO_FAULT: (), BROKEN: changes}), BOARDS)


def state(circuit: Circuit, condition: str, *changes: Change) -> Powered:
    return Powered(cloud_of(circuit, *changes), BROKEN, condition)


# --- several sources ------------

TWO = Circuit(
    loads=(
        Load("a", point(1e3), amps=point(0.1)),
        Load("b", point(1e3), amps=point(0.5)),
        Load("behind", point(1e3), amps=point(0.25)),
    ),
    links=(Link("wire", ("b", "behind"), point(0.5)),),
    junctions=(),
    feeds=(
        feed("a", "source", "a", volts=5.0, amps=2.0, amps_at_rest=0.5, held=1.0),
        feed("ask", "line", "ask", "a", states="B"),
        feed("on", "line", "on", "a", waits=("ask",), is_low=True),
        feed(
            "b",
            "source",
            "b",
            volts=12.0,
            amps=10.0,
            waits=("on",),
            group="main",
            states="AB",
        ),
        feed("bench", "source", "b", volts=11.0, amps=1.0, states="K"),
        feed("c", "source", "c", volts=3.0, amps=8.0, waits=("on",), group="main"),
        feed("wire", "through", "behind", "b", first="wire", headroom=0.75),
        feed(
            "n", "source", "n", volts=-12.0, amps=1.0, waits=("on",), may_be_absent=True
        ),
        feed("out", "switch", "out", "a", may_be_absent=True),
    ),
    faults={NO_FAULT: ()},
)


def test_a_request_that_is_low_turns_the_other_sources_on() -> None:
    """Pulled up to 5 V at rest, low when it asks."""
    rest, asked = state(TWO, "A"), state(TWO, "B")
    assert (rest.volts["on"][0], asked.volts["on"][0]) == (5.0, 0.1)
    assert (rest.volts["b"][0], asked.volts["b"][0]) == (0.0, 12.0)
    assert (rest.volts["a"][0], asked.volts["a"][0]) == (5.0, 5.0)


def test_each_source_carries_its_own_loads() -> None:
    """b carries its 0.5 A and 0.25 A behind the wire; a its 0.1 A."""
    asked = state(TWO, "B")
    assert supply_amps(asked, "a")[0] == pytest.approx(every(QUIET_AMPS + 0.1))
    assert supply_amps(asked, "b")[0] == pytest.approx(every(QUIET_AMPS + 0.75))
    assert supply_amps(asked)[0] == pytest.approx(supply_amps(asked, "a")[0])


def test_a_short_behind_a_wire_draws_through_it() -> None:
    """(12 - 0.75) V over 0.5 + 4 ohms: 10 V behind, 2.5 A more."""
    short = state(TWO, "B", Change("leak", "behind", ohms=point(4.0)))
    assert short.volts["behind"] == pytest.approx(every(11.25 * 4 / 4.5))
    more = supply_amps(short, "b")[0] - (QUIET_AMPS + 0.5)  # behind is there no more
    assert more == pytest.approx(every(2.5))


def test_an_overload_shuts_its_group_down_and_no_other() -> None:
    """3 V into 0.1 ohm would be 30 A of 8."""
    short = state(TWO, "B", Change("leak", "c", ohms=point(0.1)))
    assert (short.volts["b"][0], short.volts["c"][0]) == (0.0, 0.0)
    assert (short.volts["a"][0], short.volts["n"].min()) == (5.0, -12.0)


def test_another_source_takes_its_place_in_a_condition_of_its_own() -> None:
    benched = state(TWO, "K")
    assert benched.volts["b"] == pytest.approx(every(11.0))
    assert benched.volts["behind"] == pytest.approx(every(10.25))
    assert supply_amps(benched, "b")[0] == pytest.approx(every(QUIET_AMPS + 0.75))


@pytest.mark.parametrize(("condition", "volts"), [("A", 1.0), ("B", 4.0)])
def test_a_source_that_holds_its_limit_gives_that_times_the_ohms(
    condition: str, volts: float
) -> None:
    """0.5 A at rest and 2 A awake into 2 ohms."""
    short = state(TWO, condition, Change("short", "a", ohms=point(2.0)))
    assert short.volts["a"] == pytest.approx(every(volts))
    assert supply_amps(short, "a")[0] == pytest.approx(every(volts / 2.0), rel=0.06)


def test_what_may_be_absent_is_on_about_half_of_the_boards() -> None:
    asked = state(TWO, "B")
    for net, volts in (("n", -12.0), ("out", 5.0)):
        is_there = asked.volts[net] == volts
        assert 0.2 * BOARDS < is_there.sum() < 0.8 * BOARDS
        assert (asked.volts[net][~is_there] == 0).all()


# --- the path ------------


def with_feeds(**changed: dict[str, object]) -> Circuit:
    feeds = [replace(one, **changed.get(one.id, {})) for one in FEEDS]  # type: ignore[arg-type]
    return replace(CIRCUIT, feeds=tuple(feeds))


def test_a_path_may_hold_its_source_at_the_limit_into_a_short() -> None:
    """4 A through 0.2 ohm, 0.01 of the sense resistor and 0.05 of the fuse."""
    circuit = with_feeds(adapter={"held": 1.0}, path={"held": 1.0})
    short = state(circuit, "A", Change("short", "main", ohms=point(0.2)))
    assert short.volts["main"] == pytest.approx(every(4 * 0.2), rel=1e-3)
    assert short.volts["sense"] == pytest.approx(every(4 * 0.21), rel=1e-3)
    assert short.volts["jack"] == pytest.approx(every(4 * 0.26), rel=1e-3)
    assert supply_amps(short)[0] == pytest.approx(every(4.0))
    assert (short.pinned == 1).all()


def test_a_path_passes_by_its_body_diode_while_it_is_off() -> None:
    circuit = with_feeds(path={"body_drop": 0.6})
    cut = state(circuit, "A", Change("open", "gate_r"))
    assert cut.volts["middle"] == pytest.approx(every(18.4))
    assert cut.volts["sense"] == pytest.approx(every(0.0))
    second = state(circuit, "A", Change("open", "fet_2"))
    assert (second.volts["middle"] >= 18.4).all()
    # While it retries into a short the middle never falls under it.
    tripped = state(circuit, "A", Change("short", "main", ohms=point(0.2)))
    assert (tripped.volts["middle"] >= 18.3).all()


def test_a_leaky_gate_lifts_less_and_a_weak_path_passes_less() -> None:
    gate = state(CIRCUIT, "A", Change("weak", "gate"))
    lift = gate.volts["gate"] - gate.volts["middle"]
    assert ((lift > 0.1 * 6) & (lift < 0.6 * 6)).all()
    path = state(CIRCUIT, "A", Change("weak", "path"))
    assert ((path.volts["sense"] > 0.5 * 19) & (path.volts["sense"] < 0.9 * 19)).all()
    assert (path.there["main"] == 0).all()


def test_a_path_of_another_condition_leaves_its_net_alone() -> None:
    circuit = with_feeds(path={"states": "B"})
    assert state(circuit, "A").volts["main"] == pytest.approx(every(0.0))
    assert state(circuit, "B").volts["main"] == pytest.approx(every(19.0))


# --- links that change or open on some boards ------------


def across(circuit: Circuit, red: str, black: str, *changes: Change) -> Floats:
    cloud = cloud_of(circuit, *changes)
    found = cold.readings(cloud, [Probe("R", red, black)], [NO_FAULT, BROKEN])
    read: Floats = found[0][1] - cloud.leads
    return read


def test_a_resistor_that_changed_reads_its_factor_more() -> None:
    cloud = cloud_of(CIRCUIT)
    found = across(CIRCUIT, "sense", "main", Change("worn", "sense_r"))
    assert found == pytest.approx(0.01 * cloud.drift, rel=1e-3)
    assert ((cloud.drift >= DRIFTS[0]) & (cloud.drift <= DRIFTS[1])).all()


def test_a_fuse_that_opens_on_some_boards_is_open_on_those() -> None:
    change = Change("open", "fuse", chance=0.4)
    hit = cloud_of(CIRCUIT).coins["spare"] < 0.4
    assert 0 < hit.sum() < BOARDS
    found = across(CIRCUIT, "jack", "after", change)
    assert found[~hit] == pytest.approx(every(0.05)[~hit], rel=0.01)
    assert (found[hit] > 1e5).all()
    live = state(CIRCUIT, "A", change)
    assert live.volts["main"] == pytest.approx(np.where(hit, 0.0, 19.0))


def test_with_something_in_the_board_its_own_load_counts() -> None:
    """10 ohms without and 2 ohms with; the junction goes with the load."""
    cpu = Load("core", point(2.0), drop=point(0.3))
    other = Load("other", point(50.0), drop=point(0.4))
    loads = (
        Load("core", point(10.0), drop=point(0.4), fitted={"cpu": cpu}),
        replace(other, fitted={"cpu": Load("other", point(5.0))}),
    )
    cloud = cloud_of(Circuit(loads, (), (), (), {NO_FAULT: ()}))
    inside = frozenset({"cpu"})
    probes = [Probe("R", "core", GROUND), Probe("R", "core", GROUND, (), inside)]
    found = cold.readings(cloud, probes, [NO_FAULT])
    assert found[0][0] == pytest.approx(every(10.0), rel=1e-3)
    assert found[1][0] == pytest.approx(every(2.0), rel=1e-3)
    _ohms, drops = cloud.with_fitted(inside)
    assert drops["core"] == pytest.approx(every(0.3))
    assert "other" not in drops
    assert "other" in cloud.with_fitted(())[1]


def test_readings_are_net_of_the_leads_unless_the_circuit_holds_them() -> None:
    assert (cloud_of(replace(CIRCUIT, hold_leads=False)).leads == 0).all()
    assert (cloud_of(CIRCUIT).leads > 0).all()


def test_a_button_whose_line_is_dead_does_not_work() -> None:
    cut = state(CIRCUIT, "B", Change("dead", "button"))
    assert (cut.volts["button"] < 0.7).all()
    assert (cut.there["button"] == 0).all()


# --- draws for a comparison ------------


def test_even_draws_give_like_faults_the_same_ohms_and_every_chance_its_share() -> None:
    short = (Change("short", "main", ohms=(0.1, 1.0)),)
    faults = {NO_FAULT: (), ("a", "short"): short, ("b", "short"): short}
    cloud = Cloud(replace(CIRCUIT, faults=faults), 8, is_even=True)
    assert np.array_equal(
        cloud.fault_ohms["a", "short"], cloud.fault_ohms["b", "short"]
    )
    assert (cloud.coins["spare"] < 0.25).sum() == 2


def test_a_converter_that_retries_moves_its_source_by_tens_of_milliamperes() -> None:
    """Brief, 2a: hunting from 0 to 80 mA; evenly spread that is 80 / sqrt(12) mA."""
    good, good_blur = supply_amps(state(CIRCUIT, "B"))
    assert good_blur == pytest.approx(0.25 * good + 0.002)
    short = Change("short", "core", ohms=point(0.05))
    hunting, blur = supply_amps(state(CIRCUIT, "B", short))
    more = blur - 0.25 * hunting - 0.002
    assert more == pytest.approx(every(0.08 / np.sqrt(12)), rel=0.01)
