"""Each kind of feed and of change on a small circuit, against hand values.

Volts by Ohm's law on a circuit that leaves nothing open. What a refused or pulsing
supply reads is judgement: there the tests hold the bounds and the causes.
"""

import dataclasses

import numpy as np
import pytest

from diagnostics.engine.circuit import powered
from diagnostics.engine.circuit.cloud import Cloud
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.powered import (
    PRESSED,
    QUIET_AMPS,
    Powered,
    supply_amps,
)
from tests.engine.circuit.small_circuit import (
    BOARDS,
    CIRCUIT,
    CLOUD,
    FEEDS,
    fault,
    feed,
    live,
)

COINS = CLOUD.coins


def every(value: float) -> Floats:
    return np.full(BOARDS, value)


def same(found: Floats, value: float) -> bool:
    return bool(np.allclose(found, value, rtol=1e-3, atol=1e-6))


def amps(way: str = "", condition: str = "B") -> Floats:
    return supply_amps(live(way, condition))[0]


# --- nothing is wrong -------------------------------------------------------------

HEALTHY = {
    "jack": 19.0,
    "after": 19.0,
    "bias": 6.0,
    "gate": 25.0,
    "middle": 19.0,
    "sense": 19.0,
    "main": 19.0,
    "ldo": 5.0,
    "clock": 1.4,
    "button": 5.0,
    "sleep": 5.0,
    "core": 1.0,
    "phase_1": 1.0,
    "phase_2": 1.0,
    "run": 5.0,
    "half": 0.5,
    "good": 5.0,
    "wake": 1.2,
}
ASLEEP = {
    **dict.fromkeys(("sleep", "core", "phase_1", "phase_2", "run", "half"), 0.0),
    "good": 0.03,
}


@pytest.mark.parametrize(("condition", "less"), [("B", {}), ("A", ASLEEP)])
def test_a_good_board_has_its_volts(condition: str, less: dict[str, float]) -> None:
    state = live("", condition)
    for net, volts in {**HEALTHY, **less}.items():
        assert same(state.volts[net], volts), net


def test_a_good_board_is_steady_and_there() -> None:
    state = live()
    for net in HEALTHY:
        assert same(state.there[net], 1.0), net
        assert (state.blur[net] < 0.2).all(), net


def test_the_current_is_the_sum_of_what_is_up() -> None:
    """Main 10 mA and ldo 20 mA; awake also core 0.5 A and run 0.1 A."""
    assert amps("", "A") == pytest.approx(every(QUIET_AMPS + 0.03))
    assert amps("", "B") == pytest.approx(every(QUIET_AMPS + 0.63))


def test_levels_follow_each_boards_own_draw() -> None:
    spread = [dataclasses.replace(one, spread=0.02) for one in FEEDS]
    cloud = Cloud(dataclasses.replace(CIRCUIT, feeds=tuple(spread)), BOARDS)
    state = Powered(cloud, fault(""), "B")
    assert state.volts["ldo"] == pytest.approx(5.0 * cloud.level["ldo"])
    assert state.volts["good"] == pytest.approx(state.volts["ldo"])
    assert state.volts["core"].std() == pytest.approx(0.02, rel=0.4)


# --- the source ----------------------------------------------------------------------


def test_a_short_at_the_jack_holds_the_source_at_its_limit() -> None:
    """4 A through 0.5 ohm: 2 V; every other source tries again and again."""
    state = live("jack shorted")
    again = COINS["latch"] < 0.5
    assert 0 < again.sum() < BOARDS
    assert state.volts["jack"] == pytest.approx(np.where(again, 0.2, 2.0))
    assert same(state.there["jack"], 0.0)
    assert (state.blur["jack"] > 0.15).all()
    held, blur = supply_amps(state)
    assert held[~again] == pytest.approx(every(4.0)[~again], rel=0.01)
    assert (held[again] < 0.3).all()
    assert (blur > 0.03).all()


def test_a_leak_at_the_jack_only_draws() -> None:
    """19 V over 190 ohm: 0.1 A more than a good board."""
    assert same(live("jack leaks").volts["jack"], 19.0)
    assert amps("jack leaks") - amps() == pytest.approx(every(0.1))


def test_a_dead_source_leaves_nothing() -> None:
    state = live("adapter dead")
    for net in HEALTHY.keys() - {"wake"}:
        assert same(state.volts[net], 0.0), net
    assert same(amps("adapter dead"), 0.0)


def test_a_low_source_gives_its_first_volts() -> None:
    """And the gate waits for 15 V behind the fuse, so main stays down."""
    state = live("adapter low")
    assert same(state.volts["jack"], 5.0)
    assert same(state.volts["bias"], 4.4)
    assert same(state.volts["main"], 0.0)


def test_a_source_that_waits_for_a_contract_gives_its_first_volts_before() -> None:
    feeds = [dataclasses.replace(FEEDS[0], full_after=("wake",)), *FEEDS[1:]]
    cloud = Cloud(dataclasses.replace(CIRCUIT, feeds=tuple(feeds)), BOARDS)
    assert same(Powered(cloud, fault(""), "B").volts["jack"], 19.0)
    assert same(Powered(cloud, fault("wake cut"), "B").volts["jack"], 5.0)


def test_a_weak_source_sags_and_the_path_hunts_without_latching() -> None:
    state = live("adapter weak")
    volts = state.volts["jack"]
    assert ((volts > 0.75 * 18.9) & (volts < 19)).all()
    reached = volts > 15.0  # what the gate waits for
    assert ((state.there["main"] > 0) == reached).all()
    assert (state.volts["main"][reached] < 0.65 * volts[reached]).all()
    assert state.latched is not None
    assert same(state.latched, 0.0)


# --- fuse, path, sense resistor ------------------------------------------------------


def test_an_open_fuse_leaves_what_is_behind_dead() -> None:
    state = live("fuse open")
    assert same(state.volts["jack"], 19.0)
    for net in ("after", "bias", "middle", "main", "core"):
        assert same(state.volts[net], 0.0), net
    assert amps("fuse open") == pytest.approx(every(QUIET_AMPS))


def test_an_open_sense_resistor_cuts_main_alone() -> None:
    state = live("sense open")
    assert same(state.volts["sense"], 19.0)
    assert same(state.volts["main"], 0.0)
    assert (state.blur["main"] > 0.04).all()


def test_a_shorted_main_latches_or_tries_again() -> None:
    """0.2 ohm: 4 A would leave 0.8 of 19 V, so the path gives up."""
    state = live("main shorted")
    latched = COINS["latch"] < 0.5
    assert state.latched is not None
    assert ((state.latched > 0) == latched).all()
    assert (state.volts["main"][latched] == 0).all()
    pulsing = state.volts["main"][~latched]
    assert ((pulsing > 0) & (pulsing < 0.15 * 0.6 * 19)).all()
    assert same(state.volts["jack"], 19.0)
    assert (state.there["main"] <= 0.3).all()
    # The gate falls back to its source where the path latched off.
    above = state.volts["gate"] - state.volts["middle"]
    assert same(above[latched], 0.0)
    assert (above[~latched] > 0.1).all()
    drawn = supply_amps(state)[0]
    assert (drawn[latched] < 0.013).all()
    assert (drawn[~latched] > drawn[latched].max() / 10).all()


def test_a_leak_on_main_is_counted_once() -> None:
    """19 V over 190 ohm: 0.1 A. The benchmark's train-0008: 174.6 ohm at 19.12 V and
    0.152 A, of which 0.110 are the leak's."""
    assert same(live("main leaks").volts["main"], 19.0)
    assert amps("main leaks") - amps() == pytest.approx(every(0.1), rel=1e-3)


@pytest.mark.parametrize("way", ["fet 1 open", "fet 2 open", "gate cut"])
def test_an_open_mosfet_or_gate_keeps_main_down(way: str) -> None:
    state = live(way)
    assert same(state.volts["after"], 19.0)
    assert same(state.volts["main"], 0.0)


def test_where_the_path_is_open_tells_at_its_middle() -> None:
    assert same(live("fet 1 open").volts["middle"], 0.0)
    assert (live("fet 2 open").volts["middle"] > 0.9 * 19).all()
    floating = live("gate cut").volts["middle"]
    assert ((floating >= 0.15) & (floating <= 0.55)).all()
    assert same(live("fet 1 shorted").volts["middle"], 19.0)


def test_without_its_bias_nothing_drives_the_gate() -> None:
    """10 ohm on a supply of 50 mA: 0.5 V, and that is not there."""
    state = live("bias shorted")
    assert same(state.volts["bias"], 0.5)
    assert (state.blur["bias"] > 0.05).all()
    assert same(state.there["gate"], 0.0)
    assert same(state.volts["main"], 0.0)


# --- linear ----


def test_a_shorted_linear_is_held_at_its_limit() -> None:
    """100 mA through 10 ohm: 1 V, drawn from the input ampere for ampere."""
    state = live("ldo shorted")
    assert same(state.volts["ldo"], 1.0)
    assert same(state.there["ldo"], 0.0)
    assert amps("ldo shorted") == pytest.approx(every(QUIET_AMPS + 0.01 + 0.1))


def test_a_leak_that_a_linear_can_bear_only_draws() -> None:
    """5 V over 100 ohm are 50 mA, and a linear passes its current on."""
    assert same(live("ldo leaks").volts["ldo"], 5.0)
    assert amps("ldo leaks") - amps() == pytest.approx(every(0.05))


def test_a_linear_follows_a_low_supply_less_its_headroom() -> None:
    state = live("adapter low")
    assert same(state.volts["bias"], 5.0 - 0.6)
    assert (state.blur["bias"] > 0.05).all()


def test_what_waits_for_a_dead_linear_stays_down() -> None:
    state = live("ldo dead")
    for net in ("ldo", "button", "clock", "sleep", "core", "run", "good"):
        assert same(state.volts[net], 0.0), net
    assert amps("ldo dead") == pytest.approx(every(QUIET_AMPS + 0.01))


def test_a_linear_under_a_pulsing_supply_reads_its_mean() -> None:
    state = live("main shorted")
    on = state.there["main"]
    pulses = on > 0
    feeds = [
        dataclasses.replace(one, waits=("main",)) if one.id == "ldo" else one
        for one in FEEDS
    ]
    cloud = Cloud(dataclasses.replace(CIRCUIT, feeds=tuple(feeds)), BOARDS)
    waits = Powered(cloud, fault("adapter weak"), "B")
    part = (waits.there["main"] > 0) & (waits.there["main"] < 1)
    assert part.any()
    assert (waits.volts["ldo"][part] < 5.0 * waits.there["main"][part] + 1e-9).all()
    assert waits.blur["ldo"][part] == pytest.approx(every(0.6 * 5)[part])
    assert (state.volts["ldo"][~pulses] == 0).all()


# --- buck ----


def test_a_short_trips_a_buck() -> None:
    """1 V over 0.05 ohm are 20 A of 8; a tripped one reads near nought."""
    state = live("core shorted")
    for net in ("core", "phase_1", "phase_2"):
        assert ((state.volts[net] > 0) & (state.volts[net] < 0.03)).all(), net
    assert same(state.there["core"], 0.0)
    assert same(state.volts["good"], 0.03)
    assert amps("core shorted") == pytest.approx(every(QUIET_AMPS + 0.13), abs=2e-3)


def test_a_leak_that_a_buck_can_bear_is_drawn_as_watts() -> None:
    """1 V over 2 ohm is 0.5 W: 26 mA at 19 V."""
    assert same(live("core leaks").volts["core"], 1.0)
    assert amps("core leaks") - amps() == pytest.approx(every(0.5 / 19))


@pytest.mark.parametrize("way", ["core dead", "highs open"])
def test_a_buck_that_does_not_run_reads_nought_at_rail_and_phases(way: str) -> None:
    state = live(way)
    for net in ("core", "phase_1", "phase_2", "half"):
        assert same(state.volts[net], 0.0), net
    assert same(state.volts["run"], 5.0)


def test_with_its_only_coils_open_the_phases_run_without_their_rail() -> None:
    state = live("coils open")
    assert same(state.volts["core"], 0.0)
    for net in ("phase_1", "phase_2"):
        assert ((state.volts[net] >= 0.05) & (state.volts[net] <= 0.75)).all()
        assert same(state.blur[net], 0.25)
    asleep = live("coils open", "A")
    assert same(asleep.volts["phase_1"], 0.0)
    assert same(asleep.blur["phase_1"], 0.001)


def test_one_open_coil_of_two_leaves_the_rail() -> None:
    assert same(live("one coil open").volts["core"], 1.0)


def test_with_one_high_side_open_it_runs_sags_or_gives_up() -> None:
    state = live("one high open")
    spare = COINS["spare"]
    runs, sags = spare < 0.4, (spare >= 0.4) & (spare < 0.75)
    gone = ~runs & ~sags
    assert runs.any()
    assert sags.any()
    assert gone.any()
    core = state.volts["core"]
    assert same(core[runs], 1.0)
    assert ((core[sags] >= 0.3) & (core[sags] <= 0.9)).all()
    assert (core[gone] < 0.02).all()
    assert ((state.there["core"] > 0) == runs).all()
    # The phase that works carries the load: it lies above, the other at the rail.
    assert state.volts["phase_1"] == pytest.approx(0.997 * core)
    assert state.volts["phase_2"] == pytest.approx(1.012 * core)


def test_a_shorted_high_side_puts_the_supply_on_the_rail_or_trips_the_path() -> None:
    state = live("high shorted")
    assert state.trips is not None
    tripped = state.trips > 0
    assert 0 < tripped.sum() < BOARDS
    assert same(state.there["core"], 0.0)
    assert state.volts["core"] == pytest.approx(state.volts["main"])
    assert (state.volts["main"][~tripped] > 0.45 * 19).all()
    # 0.3 to 100 ohm of loads that clamp: what they take is drawn from the source.
    beyond = state.volts["main"] * state.clamped("main")
    drawn = supply_amps(state)[0][~tripped]
    quiet = QUIET_AMPS + 0.03 + 0.1
    assert drawn == pytest.approx(np.minimum(quiet + beyond[~tripped], 1.06 * 4))


def test_what_a_shorted_high_side_breaks_is_counted_once() -> None:
    """12 ohm at 19 V are 1.58 A, beside main's, ldo's and run's 0.13 A."""
    state = live("high shorted, core too")
    assert same(state.clamped("main"), 0.0)
    drawn = supply_amps(state)[0]
    assert drawn == pytest.approx(every(QUIET_AMPS + 0.13 + 19 / 12), rel=1e-3)


def test_a_shorted_low_side_trips_its_buck() -> None:
    state = live("low shorted")
    trips = CLOUD.bridges < 1 / 8
    assert trips.any()
    assert (state.volts["core"][trips] < 0.03).all()


# --- switch ---------------------------------------------------------------------------


def test_a_dead_switch_passes_nothing_on() -> None:
    state = live("run dead")
    assert same(state.volts["run"], 0.0)
    assert same(state.volts["ldo"], 5.0)
    assert amps("run dead") == pytest.approx(amps() - 0.1)


def test_a_short_behind_a_switch_reads_near_nought() -> None:
    state = live("run shorted")
    assert ((state.volts["run"] > 0) & (state.volts["run"] < 0.2)).all()
    assert same(state.there["run"], 0.0)


def test_a_divider_is_a_switch_with_a_share() -> None:
    assert live().volts["half"] == pytest.approx(0.5 * live().volts["core"])


# --- lines ----


def test_a_power_good_is_held_low_until_all_is_there() -> None:
    assert same(live("", "A").volts["good"], 0.03)
    assert same(live("core dead").volts["good"], 0.03)
    assert same(live("good dead").volts["good"], 0.03)
    assert same(live("ldo dead").volts["good"], 0.0)


def test_a_line_without_its_pull_up_stays_low_whatever_is_good() -> None:
    state = live("pull-up open")
    assert ((state.volts["good"] >= 0.03) & (state.volts["good"] <= 0.43)).all()
    assert same(state.there["good"], 0.0)
    assert same(state.volts["core"], 1.0)


def test_a_pulled_up_line_follows_its_sagging_rail() -> None:
    """Waiting for another net, its level is its supply's: here 1 V of 5."""
    feeds = (*FEEDS, feed("follows", "line", "follows", "ldo"))
    cloud = Cloud(dataclasses.replace(CIRCUIT, feeds=feeds), BOARDS)
    state = Powered(cloud, fault("ldo shorted"), "B")
    assert same(state.volts["follows"], 1.0)
    assert same(state.there["follows"], 0.0)


def test_a_dead_line_is_down_and_so_is_what_waits_for_it() -> None:
    state = live("clock dead")
    assert same(state.volts["clock"], 0.0)
    assert same(state.blur["clock"], 0.1)
    assert same(state.volts["sleep"], 0.0)
    assert same(state.volts["core"], 0.0)


def test_a_line_that_is_cut_is_down_or_at_its_open_volts() -> None:
    assert same(live("clock cut").volts["clock"], 0.0)
    wake = live("wake cut")
    assert same(wake.volts["wake"], 4.2)
    assert same(wake.there["wake"], 0.0)


def test_chance_strikes_its_share_of_the_boards_and_no_other() -> None:
    state = live("clock sometimes")
    hit = COINS["spare"] < 0.4
    assert 0 < hit.sum() < BOARDS
    assert state.volts["clock"] == pytest.approx(np.where(hit, 0.0, 1.4))
    assert state.volts["core"] == pytest.approx(np.where(hit, 0.0, 1.0))
    shorted = live("core sometimes").volts["core"]
    assert (shorted[hit] < 0.03).all()
    assert same(shorted[~hit], 1.0)


# --- contact ----


def test_a_contact_pulls_its_line_to_ground_while_it_is_held() -> None:
    assert same(live("", "A").volts["button"], 5.0)
    assert same(live("", PRESSED).volts["button"], 0.007)


def test_a_worn_contact_pulls_part_of_the_way_and_starts_nothing() -> None:
    held = live("button worn", PRESSED).volts["button"]
    assert ((held >= 0.3 * 5) & (held <= 0.95 * 5)).all()
    assert same(live("button worn", "A").volts["button"], 5.0)
    assert same(live("button worn").volts["core"], 0.0)


def test_a_cut_line_leaves_the_contact_floating_and_starts_nothing() -> None:
    state = live("button line open", "A")
    assert ((state.volts["button"] >= 0.05) & (state.volts["button"] <= 0.65)).all()
    assert same(state.blur["button"], 0.25)
    assert same(live("button line open", PRESSED).volts["button"], 0.007)
    assert same(live("button line open").volts["core"], 0.0)
    assert same(live("ldo dead").volts["button"], 0.0)


# --- a board of another make ----------------------------------------------------------


def test_a_board_without_a_path_counts_its_loads_all_the_same() -> None:
    """Jack, a 5 V linear and what hangs on it: no path, nothing to trip."""
    feeds = (
        FEEDS[0],
        feed("ldo", "linear", "ldo", "jack", volts=5.0, amps=0.1, headroom=0.5),
        feed("above", "line", "above", "ldo", above=3.0),
    )
    cloud = Cloud(dataclasses.replace(CIRCUIT, feeds=feeds), BOARDS)
    state = Powered(cloud, fault("ldo leaks"), "B")
    assert same(state.volts["above"], 8.0)
    drawn, blur = supply_amps(state)
    assert drawn == pytest.approx(every(QUIET_AMPS + 0.02 + 0.05))
    assert blur == pytest.approx(0.25 * drawn + 0.002)


def test_no_more_sweeps_than_allowed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Feeds in the order in which they come up: one sweep brings main up, and what
    feeds back (the button's line) waits for a second."""
    monkeypatch.setattr(powered, "SWEEPS", 1)
    once = Powered(CLOUD, fault(""), "B")
    assert same(once.volts["main"], 19.0)
