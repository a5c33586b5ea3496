"""Cold readings: ohms and diode mode, of every fault on every board of a cloud. PURE.

A fault adds ohms to ground or between nets, or takes a link or junction out. Only
the island of nets that hang together around the probes is solved, and only for the
faults that change something there (``Island``).
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diagnostics.engine.circuit.cloud import Cloud
from diagnostics.engine.circuit.island import Ends, Island, Reading
from diagnostics.engine.circuit.meter import diode_range, ohms_ranges
from diagnostics.engine.circuit.newton import TEST_AMPS, Floats, saturation
from diagnostics.engine.circuit.parts import GROUND, NO_FAULT, Fault

CUT = 1e12  # times its ohms: a link that is open on this board


@dataclass(frozen=True)
class Probe:
    """A cold measurement: ohms or diode mode, red and black, what is lifted.

    ``lifted`` are pairs of nets that links no longer join, ``fitted`` what was in
    the board.
    """

    mode: str
    red: str
    black: str
    lifted: tuple[Ends, ...] = ()
    fitted: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Elements:
    """Conductances and junctions of the boards with one fault, by their ends."""

    ohmic: tuple[tuple[Ends, Floats], ...]
    junctions: tuple[tuple[Ends, Floats], ...]


def readings(
    cloud: Cloud, probes: Sequence[Probe], faults: Sequence[Fault]
) -> dict[int, Floats]:
    """By place of the probe, (faults, boards) in ohms or volts; ``nan`` is OL."""
    found: dict[int, Floats] = {}
    good_first = sorted(faults, key=lambda fault: fault != NO_FAULT)
    order = [good_first.index(fault) for fault in faults]
    for taken in dict.fromkeys((probe.lifted, probe.fitted) for probe in probes):
        every = [elements(cloud, fault, *taken) for fault in good_first]
        islands = islands_of(cloud.circuit.nets, every)
        for nets, there in _by_island(probes, taken, islands).items():
            island = Island(
                nets,
                [case.ohmic for case in every],
                [case.junctions for case in every],
                cloud.boards,
            )
            ohms = island.read([_reading(cloud, probes[place]) for place in there])
            for place, values in zip(there, ohms, strict=True):
                found[place] = _shown(cloud, probes[place], values[order])
    return found


def elements(
    cloud: Cloud,
    fault: Fault,
    lifted: tuple[Ends, ...] = (),
    fitted: Collection[str] = (),
) -> Elements:
    """All that is on the boards with this fault."""
    changes = cloud.circuit.faults.get(fault, ())
    load_ohms, load_drops = cloud.with_fitted(fitted)
    worn = {change.at for change in changes if change.kind == "worn"}
    opened = {one.at for one in changes if one.kind == "open" and one.chance >= 1}
    away = {frozenset(pair) for pair in lifted}
    ohmic = [((net, GROUND), 1 / ohms) for net, ohms in load_ohms.items()]
    ohmic += [((net, GROUND), 1 / ohms) for net, ohms in cloud.net_leaks.items()]
    factor = dict.fromkeys(worn, cloud.drift)
    factor |= {
        one.at: np.where(cloud.coins["spare"] < one.chance, CUT, 1.0)
        for one in changes
        if one.kind == "open" and one.chance < 1
    }
    ohmic += [
        (link.ends, 1 / (cloud.link_ohms[link.id] * factor.get(link.id, 1.0)))
        for link in cloud.circuit.links
        if link.id not in opened and frozenset(link.ends) not in away
    ]
    for change in changes:
        happens = cloud.coins["spare"] < change.chance
        if change.kind in {"short", "leak"}:
            added = np.where(happens, 1 / cloud.fault_ohms[fault], 1e-12)
            ohmic.append(((change.at, GROUND), added))
        elif change.kind == "bridge":
            ohmic.append(((change.at, change.other), 1 / cloud.bridges))
    junctions = [((GROUND, net), saturation(drop)) for net, drop in load_drops.items()]
    junctions += [
        ((one.anode, one.cathode), saturation(cloud.drops[one.id]))
        for one in cloud.circuit.junctions
        if one.id not in opened
    ]
    return Elements(tuple(ohmic), tuple(junctions))


def islands_of(
    nets: Iterable[str], every: Iterable[Elements]
) -> dict[str, tuple[str, ...]]:
    """The nets that hang together in any of the cases, by net."""
    joined = {net: {net} for net in nets}
    pairs = {
        ends
        for case in every
        for ends, _values in (*case.ohmic, *case.junctions)
        if GROUND not in ends
    }
    for a, b in pairs:
        if joined[a] is not joined[b]:
            joined[a] |= joined[b]
            for net in joined[b]:
                joined[net] = joined[a]
    return {net: tuple(sorted(island)) for net, island in joined.items()}


def _by_island(
    probes: Sequence[Probe],
    taken: tuple[tuple[Ends, ...], frozenset[str]],
    islands: Mapping[str, tuple[str, ...]],
) -> dict[tuple[str, ...], list[int]]:
    """Places of the probes taken like this, by the island that they are on."""
    found: dict[tuple[str, ...], list[int]] = {}
    for place, probe in enumerate(probes):
        if (probe.lifted, probe.fitted) == taken:
            net = probe.red if probe.red != GROUND else probe.black
            found.setdefault(islands[net], []).append(place)
    return found


def _reading(cloud: Cloud, probe: Probe) -> Reading:
    if probe.mode == "D":
        return Reading(probe.red, probe.black, diode_range(cloud.boards))
    return Reading(probe.red, probe.black, ohms_ranges(cloud.full_scale))


def _shown(cloud: Cloud, probe: Probe, ohms: Floats) -> Floats:
    """What the meter shows of ohms between its leads' tips."""
    return ohms * TEST_AMPS if probe.mode == "D" else ohms + cloud.leads
