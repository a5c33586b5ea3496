"""Cold readings of a small circuit against hand values.

Hand values come from Ohm's law on values that leave nothing open; the leaks of a net
by itself (3 to 20 megohms) and the leads are the cloud's own draws.
"""

import numpy as np
import pytest

from diagnostics.engine.circuit import cold
from diagnostics.engine.circuit.cold import Probe
from diagnostics.engine.circuit.island import Ends
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import GROUND, NO_FAULT
from tests.engine.circuit.small_circuit import BOARDS, CIRCUIT, CLOUD, fault


def read(
    mode: str,
    red: str,
    black: str = GROUND,
    way: str = "",
    lifted: tuple[Ends, ...] = (),
) -> Floats:
    faults = [NO_FAULT] if way == "" else [NO_FAULT, fault(way)]
    found = cold.readings(CLOUD, [Probe(mode, red, black, lifted)], faults)
    shown: Floats = found[0][-1]
    return shown


def net_ohms(
    red: str, black: str = GROUND, way: str = "", lifted: tuple[Ends, ...] = ()
) -> Floats:
    """What was read in ohms, less the leads."""
    made: Floats = read("R", red, black, way, lifted) - CLOUD.leads
    return made


def beside(*ohms: Floats | float) -> Floats:
    whole: Floats = np.zeros(BOARDS)
    for one in ohms:
        whole = whole + 1 / one
    return 1 / whole


COIL = ("phase_1", "core")
COILS = (COIL, ("core", "phase_2"))


# --- ohms to ground ---------------------------------------------------------------


def test_a_rail_reads_its_load() -> None:
    assert net_ohms("core") == pytest.approx(np.full(BOARDS, 10.0), rel=1e-3)


def test_a_load_behind_a_fuse_reads_from_both_sides() -> None:
    """100 k and the leaks of both nets in parallel; the fuse adds 0.05 ohm."""
    leaks = (CLOUD.net_leaks["jack"], CLOUD.net_leaks["after"])
    assert net_ohms("jack") == pytest.approx(beside(100e3, *leaks), rel=0.02)
    assert net_ohms("after") == pytest.approx(net_ohms("jack"), rel=1e-3)


def test_the_leads_are_in_the_reading() -> None:
    shown = read("R", "core")
    assert ((shown > 10.09) & (shown < 10.51)).all()
    assert shown.std() > 0.05


@pytest.mark.parametrize(
    ("way", "net", "ohms"),
    [
        ("core shorted", "core", 10 * 0.05 / 10.05),
        ("core shorted", "phase_1", 0.004 + 10 * 0.05 / 10.05),
        ("main shorted", "main", 0.2),
        ("main shorted", "sense", 0.21),
        ("jack shorted", "jack", 0.5),
        ("jack shorted", "after", 0.55),
    ],
)
def test_a_short_lies_beside_the_load_and_shows_through_small_links(
    way: str, net: str, ohms: float
) -> None:
    assert net_ohms(net, way=way) == pytest.approx(np.full(BOARDS, ohms), rel=2e-3)


def test_a_short_that_happens_on_some_boards_is_seen_on_those_alone() -> None:
    hit = CLOUD.coins["spare"] < 0.4
    shown = net_ohms("core", way="core sometimes")
    assert 0 < hit.sum() < BOARDS
    assert (shown[hit] < 0.06).all()
    assert shown[~hit] == pytest.approx(np.full((~hit).sum(), 10.0), rel=1e-3)


def test_a_bridge_to_ground_is_a_short_of_its_own_ohms() -> None:
    shown = net_ohms("phase_1", way="low shorted")
    assert shown == pytest.approx(beside(CLOUD.bridges, 10.004), rel=1e-3)


def test_a_bridged_high_side_joins_the_supply_to_the_rail() -> None:
    shown = net_ohms("main", way="high shorted")
    assert shown == pytest.approx(CLOUD.bridges + 10.004, rel=2e-3)


# --- across, lifted, open -----------------------------------------------------------


def test_across_a_link_reads_the_link() -> None:
    found = net_ohms("jack", "after")
    assert found == pytest.approx(np.full(BOARDS, 0.05), abs=1e-4)


def test_across_an_open_fuse_reads_what_goes_round_by_ground() -> None:
    shown = net_ohms("jack", "after", "fuse open")
    round_ground = beside(100e3, CLOUD.net_leaks["jack"]) + CLOUD.net_leaks["after"]
    # fet_1's body diode hangs on the far side too, with what leaks behind it.
    assert (shown < round_ground).all()
    assert (shown > 200e3).all()


def test_lifted_coils_tell_the_rail_from_its_phases() -> None:
    """Also where the pair is named the other way round."""
    rail = net_ohms("core", way="low shorted", lifted=COILS)
    phase = net_ohms("phase_1", way="low shorted", lifted=COILS)
    assert rail == pytest.approx(np.full(BOARDS, 10.0), rel=1e-3)
    assert phase == pytest.approx(CLOUD.bridges, rel=1e-3)


def test_one_lifted_coil_leaves_the_other_phase_on() -> None:
    assert (net_ohms("phase_2", lifted=(COIL,)) < 11).all()
    assert (net_ohms("phase_1", lifted=(COIL,)) > 100).all()


def test_an_open_coil_reads_as_a_lifted_one() -> None:
    opened = net_ohms("phase_1", way="one coil open")
    assert opened == pytest.approx(net_ohms("phase_1", lifted=(COIL,)), rel=1e-6)


# --- diode mode ---------------------------------------------------------------------


def test_red_on_ground_reads_the_junctions_of_the_net() -> None:
    """5 k takes 0.1 of 1 mA: 0.50 V less n k T / q ln(1 / 0.9)."""
    shown = read("D", GROUND, "ldo")
    assert shown == pytest.approx(np.full(BOARDS, 0.4966), abs=5e-4)


def test_a_low_load_hides_the_junction() -> None:
    """1 mA through 10 ohm: common practice, domain brief 7.14."""
    assert read("D", GROUND, "core") == pytest.approx(np.full(BOARDS, 0.010), abs=1e-4)


def test_a_body_diode_reads_forward_and_is_open_in_reverse() -> None:
    assert read("D", "middle", "after") == pytest.approx(
        np.full(BOARDS, 0.45), abs=2e-3
    )
    assert np.isnan(read("D", "after", "middle")).all()


def test_a_shorted_mosfet_reads_nought_both_ways_and_an_open_one_ol() -> None:
    for ends in (("middle", "after"), ("after", "middle")):
        assert (read("D", *ends, "fet 1 shorted") < 1e-3).all()
        assert np.isnan(read("D", *ends, "fet 1 open")).all()


# --- what is solved -------------------------------------------------------------------


def test_a_fault_elsewhere_reads_to_the_last_digit_as_a_good_board() -> None:
    faults = [NO_FAULT, fault("button line open"), fault("adapter dead")]
    found = cold.readings(CLOUD, [Probe("R", "core", GROUND)], faults)[0]
    assert np.array_equal(found[0], found[1])
    assert np.array_equal(found[0], found[2])


def test_readings_of_several_probes_come_by_their_place() -> None:
    probes = [
        Probe("R", "core", GROUND),
        Probe("R", "phase_1", GROUND, COILS),
        Probe("D", GROUND, "ldo"),
    ]
    found = cold.readings(CLOUD, probes, [NO_FAULT, fault("core shorted")])
    assert {place: rows.shape for place, rows in found.items()} == dict.fromkeys(
        range(3), (2, BOARDS)
    )
    for place, probe in enumerate(probes):
        alone = cold.readings(CLOUD, [probe], [NO_FAULT])[0]
        assert found[place][0] == pytest.approx(alone[0], rel=1e-6)


def test_islands_hold_what_hangs_together_and_ground_joins_nothing() -> None:
    whole = cold.elements(CLOUD, NO_FAULT)
    islands = cold.islands_of(CIRCUIT.nets, [whole])
    assert set(islands["button"]) == {"button", "button_at_ec"}
    assert set(islands["ldo"]) == {"ldo"}
    # The body diodes hang main on the jack.
    assert {"jack", "after", "middle", "sense", "main", "core"} <= set(islands["jack"])
