"""What ways of failing of our families read, against what the brief says of them.

The domain brief, section 3: 0 rail missing, S shorted, L leaky, lo and hi out of
tolerance. The families' ``effect`` columns are that table; the circuits are written
apart from them. Currents: the brief's section 2, last column of its tables.
"""

import numpy as np
import pytest

from diagnostics.engine.boards import FAMILY_IDS, PartMode
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import NO_FAULT, Fault, split
from tests.engine.circuit.family_boards import Seen, seen

pytestmark = pytest.mark.long

MOSTLY = 0.8
# Lines that rest at volts while they say no, and read as high as before.
RESTS = {"atx.on": 5.0, "pd.contract": 5.0}


def hits(of: Seen, effect: str) -> list[tuple[Fault, str]]:
    """Faults of this effect and a net that each hits."""
    found = []
    for fault in of.found.faults[1:]:
        part, mode_id, place = split(fault)
        modes = of.board.parts[part].modes
        mode = next(mode for mode in modes if mode.id == mode_id)
        if mode.effect == effect:
            found += [(fault, net) for net in ([place] if place else _nets(mode))]
    return found


def _nets(mode: PartMode) -> tuple[str, ...]:
    return mode.rails or mode.one_of or tuple(rail for _main, rail in mode.between)


def share(flags: Floats) -> float:
    return float(np.mean(flags))


@pytest.mark.parametrize("family", FAMILY_IDS)
def test_what_is_gone_reads_nothing(family: str) -> None:
    """0 V; a line that is pulled up rests there; an open plug line reads OL."""
    of = seen(family)
    looked = 0
    for fault, net in hits(of, "gone"):
        for column in of.columns(net, "V"):
            was, now = of.values(NO_FAULT, column), of.values(fault, column)
            looked += 1
            if net in RESTS:
                assert now == pytest.approx(np.full_like(now, RESTS[net]), rel=0.06)
            elif split(fault).mode == "joints" or (was > 0.5).all():
                assert share(np.abs(now) < 0.2 * np.abs(was)) > MOSTLY, (fault, column)
        for column in of.columns(net, "D") if net in {"c.cc1", "c.cc2"} else ():
            assert np.isnan(of.values(fault, column)).all()
    assert looked > 20


@pytest.mark.parametrize("family", FAMILY_IDS)
def test_what_makes_no_sign_of_life_is_answered_so(family: str) -> None:
    """Crystal, button, flash and CPU: their first answer, which is good, goes."""
    of = seen(family)
    points = {
        "crystal": ("k38/crystal", "runs"),
        "button": ("k39/button", "falls_and_returns"),
        "flash.read": ("k41/flash", "bursts"),
        "activity": ("k64/board", "runs_with_picture"),
        "sleep.s4": ("k64/board", "runs_with_picture"),
    }
    looked = 0
    for fault, net in hits(of, "gone"):
        if net in points:
            point, answer = points[net]
            looked += 1
            assert share(of.chance(fault, point, answer) < 0.1) > 0.4, fault
    assert looked > 10


@pytest.mark.parametrize("family", FAMILY_IDS)
def test_what_is_shorted_reads_under_the_bands_limit(family: str) -> None:
    """And in diode mode about nothing: 1 mA times those ohms."""
    of = seen(family)
    looked = 0
    for fault, net in hits(of, "short"):
        rail = of.board.rails[net]
        for column in of.columns(net, "R"):
            assert rail.ohms is not None
            looked += 1
            assert (of.values(fault, column) < 1.02 * rail.ohms.short_below).all()
        for column in of.columns(net, "D"):
            assert rail.diode is not None
            now = of.values(fault, column)
            assert (now < rail.diode[0]).all(), fault
    assert looked > 8


@pytest.mark.parametrize("family", FAMILY_IDS)
def test_what_is_leaky_reads_between_short_and_watch(family: str) -> None:
    of = seen(family)
    looked = 0
    for fault, net in hits(of, "leaky"):
        ohms = of.board.rails[net].ohms
        assert ohms is not None
        for column in of.columns(net, "R"):
            now = of.values(fault, column)
            looked += 1
            assert ((now > ohms.short_below) & (now < ohms.watch_below)).all(), fault
        for column in of.columns(net, "V"):
            assert of.values(fault, column) == pytest.approx(
                of.values(NO_FAULT, column), rel=0.02, abs=0.02
            )
    assert looked > 2


@pytest.mark.parametrize("family", FAMILY_IDS)
def test_a_shorted_high_side_joins_main_to_its_rail(family: str) -> None:
    """Brief, k18: near 0 ohms across; powered, the rail goes toward main (hi) or
    its loads have broken down."""
    of = seen(family)
    looked = 0
    for fault, net in hits(of, "bridge"):
        for column in of.found.points:
            point = of.board.points.get(column)
            if point is not None and point.pair and point.pair[1] == net:
                looked += 1
                assert (of.values(fault, column) < 2.0).all()
        for column in of.columns(net, "V"):
            now, was = of.values(fault, column), of.values(NO_FAULT, column)
            assert share(np.abs(now - was) > 0.1 * was) > MOSTLY
    assert looked > 0


@pytest.mark.parametrize("family", FAMILY_IDS)
def test_what_is_low_reads_low_on_many_boards(family: str) -> None:
    of = seen(family)
    for fault, net in hits(of, "low"):
        for column in of.columns(net, "V"):
            was, now = of.values(NO_FAULT, column), of.values(fault, column)
            assert (now < was).all()
            assert share(now < 0.95 * was) > 0.5, fault


@pytest.mark.parametrize("family", FAMILY_IDS)
def test_what_leaves_rails_alone_moves_no_volts(family: str) -> None:
    of = seen(family)
    for fault in of.found.faults[1:]:
        part, mode_id, _place = split(fault)
        mode = next(m for m in of.board.parts[part].modes if m.id == mode_id)
        if mode.effect not in {"none", "ripple"}:
            continue
        for column, kind in zip(of.found.points, of.found.modes, strict=True):
            if kind == "V":
                assert of.values(fault, column) == pytest.approx(
                    of.values(NO_FAULT, column), abs=1e-6
                ), fault


# --- currents -------------------------------------------------------------------------


def amps(family: str, column: str, *fault: str) -> Floats:
    return seen(family).values((fault[0], fault[1]) if fault else NO_FAULT, column)


def spans(found: Floats, low: float, high: float) -> bool:
    return bool(((found >= low) & (found <= high)).all())


@pytest.mark.parametrize("family", ["laptop_barrel", "laptop_usbc"])
def test_a_healthy_laptop_takes_5_to_30_ma_at_rest(family: str) -> None:
    assert spans(amps(family, "k24/supply"), 0.005, 0.030)


@pytest.mark.parametrize("family", ["laptop_barrel", "laptop_usbc"])
def test_and_0_6_to_2_a_moving_when_it_executes(family: str) -> None:
    assert spans(amps(family, "k51/supply"), 0.6, 2.0)


def test_a_desktops_cpu_plug_gives_half_an_ampere_to_two() -> None:
    assert spans(amps("desktop_atx", "k51/supply"), 0.5, 2.0)


def test_nothing_at_all_is_an_open() -> None:
    """Brief, in.jack: 0 mA = fuse, cable or detect open."""
    for fault in (("p.adp", "dead"), ("p.jack", "open")):
        assert spans(amps("laptop_barrel", "k24/supply", *fault), 0, 1e-6 + 0.005)
    assert spans(amps("laptop_barrel", "k24/supply", "p.adp", "dead"), 0, 1e-9)


def test_a_hard_short_on_main_holds_the_supply_at_its_limit() -> None:
    """Brief: pinned at the limit, the volts collapsed; 1 A is the limit (k24)."""
    of, fault = seen("laptop_barrel"), ("p.cmain", "short")
    cold = of.values(fault, "k06/main")
    found = of.values(fault, "k24/supply")
    pinned = (cold < 5.0) & (of.chance(fault, "k24/supply", "at_limit") > 0.5)
    assert share(pinned[cold < 5.0]) > 0.3
    assert found[pinned] == pytest.approx(np.full(pinned.sum(), 1.0), rel=0.02)
    # Ohm's law: 1 A through the short, and through the sense resistor before it.
    at_main = of.values(fault, "k27/main")[pinned]
    assert at_main == pytest.approx(1.0 * cold[pinned], rel=0.02)
    assert (of.values(fault, "k26/in.mid")[pinned] < 6.0).all()


def test_only_the_charge_ic_alive_takes_1_to_5_ma() -> None:
    """Brief, chg.vcc: 1 to 5 mA; case B of section 12 reads 3 mA with p.dual dead."""
    assert spans(amps("laptop_barrel", "k24/supply", "p.dual", "no_output"), 1e-3, 9e-3)


def test_a_hard_short_on_a_standby_rail_hunts() -> None:
    """Brief, sb.33: hunting, a buck that retries into a short."""
    of, fault = seen("laptop_barrel"), ("p.csb", "short@sb.5")
    hard = of.values(fault, "k11/sb.5") < 0.5
    assert hard.any()
    assert (of.chance(fault, "k24/supply", "hunting")[hard] > 0.9).all()


@pytest.mark.parametrize(
    ("fault", "low", "high"),
    [
        (("p.qsw", "open@run.5"), 0.05, 0.4),
        (("p.mbuck", "no_output"), 0.1, 0.3),
        (("p.csbuck", "no_output"), 0.1, 0.4),
        (("p.cpuctl", "no_output"), 0.2, 0.5),
    ],
)
def test_the_current_stops_at_the_plateau_of_its_stage(
    fault: Fault, low: float, high: float
) -> None:
    """Brief: 50 to 200 mA with the run rails, 0.1 to 0.3 A stuck at memory or
    chipset, 0.3 to 0.5 A without a core; medians, for designs differ."""
    of = seen("laptop_barrel")
    assert low < np.median(of.values(fault, "k51/supply")) < high
    assert (of.chance(fault, "k51/supply", "moving") < 0.1).all()


def test_no_current_in_the_cpu_plug_where_the_core_never_starts() -> None:
    """Brief, 2c: 0 A on the 12 V of the CPU plug."""
    found = amps("desktop_atx", "k51/supply", "p.cpuctl", "no_output")
    assert spans(found, 0.0, 0.1)


def test_a_port_without_a_contract_stays_at_5_v() -> None:
    """Brief, 2b: negotiation not done, board not proven dead."""
    of, fault = seen("laptop_usbc"), ("p.pdc", "no_output@pd.contract")
    assert spans(of.values(fault, "k25/contract"), 4.75, 5.5)
    assert spans(of.values(fault, "k27/main"), 0.0, 0.1)
    good = of.chance(fault, "k25/contract", "steady")
    assert (good < 0.1).all()
    # Past the port's MOSFETs the bench supply finds the board alive.
    assert spans(of.values(fault, "k24/supply"), 0.005, 0.030)
