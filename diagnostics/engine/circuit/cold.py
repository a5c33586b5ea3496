"""Cold readings: ohms and diode mode, of every fault on every board of a cloud. PURE.

A fault adds ohms to ground or between nets, or takes a link or junction out. Only
the island of nets that hang together around the probes is solved, and only for the
faults that change something on it; all others read as a good board does.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diagnostics.engine.circuit.cloud import Cloud
from diagnostics.engine.circuit.newton import Floats, Net, saturation
from diagnostics.engine.circuit.parts import GROUND, NO_FAULT, Fault

Ends = tuple[str, str]


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
    for taken in dict.fromkeys((probe.lifted, probe.fitted) for probe in probes):
        every = {fault: elements(cloud, fault, *taken) for fault in faults}
        islands = islands_of(cloud.circuit.nets, every.values())
        for place, probe in enumerate(probes):
            if (probe.lifted, probe.fitted) == taken:
                net = probe.red if probe.red != GROUND else probe.black
                found[place] = _read(cloud, probe, islands[net], every)
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
    opened = {change.at for change in changes if change.kind == "open"}
    away = {frozenset(pair) for pair in lifted}
    ohmic = [((net, GROUND), 1 / ohms) for net, ohms in load_ohms.items()]
    ohmic += [((net, GROUND), 1 / ohms) for net, ohms in cloud.net_leaks.items()]
    drift = dict.fromkeys(worn, cloud.drift)
    ohmic += [
        (link.ends, 1 / (cloud.link_ohms[link.id] * drift.get(link.id, 1.0)))
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


def _read(
    cloud: Cloud,
    probe: Probe,
    island: Sequence[str],
    every: Mapping[Fault, Elements],
) -> Floats:
    inside = {*island, GROUND}
    cases = {fault: _inside(case, inside) for fault, case in every.items()}
    good = cases[NO_FAULT]
    differing = [fault for fault in cases if not _is_same(cases[fault], good)]
    solved = [NO_FAULT, *differing]
    shown = _solve(cloud, probe, island, [cases[fault] for fault in solved])
    by_fault = dict(zip(solved, shown, strict=True))
    return np.stack([by_fault.get(fault, shown[0]) for fault in every])


def _inside(case: Elements, inside: set[str]) -> Elements:
    ohmic, junctions = (
        tuple(
            (ends, v) for ends, v in part if set(ends) <= inside and ends[0] != ends[1]
        )
        for part in (case.ohmic, case.junctions)
    )
    return Elements(ohmic, junctions)


def _is_same(one: Elements, other: Elements) -> bool:
    return all(
        len(mine) == len(theirs)
        and all(
            a == b and np.array_equal(v, w)
            for (a, v), (b, w) in zip(mine, theirs, strict=True)
        )
        for mine, theirs in (
            (one.ohmic, other.ohmic),
            (one.junctions, other.junctions),
        )
    )


def _solve(
    cloud: Cloud, probe: Probe, island: Sequence[str], cases: Sequence[Elements]
) -> Floats:
    """(cases, boards): all cases' boards as one batch."""
    place = {net: number for number, net in enumerate((*island, GROUND))}
    count, boards = len(island), cloud.boards
    matrix = np.zeros((len(cases), boards, count + 1, count + 1))
    ends = list(dict.fromkeys(e for case in cases for e, _current in case.junctions))
    currents = np.full((len(ends), len(cases), boards), 1e-30)
    for number, case in enumerate(cases):
        for (a, b), value in case.ohmic:
            i, j = place[a], place[b]
            matrix[number, :, i, i] += value
            matrix[number, :, j, j] += value
            matrix[number, :, i, j] -= value
            matrix[number, :, j, i] -= value
        for pair, current in case.junctions:
            currents[ends.index(pair), number] += current
    net = Net(
        matrix[:, :, :count, :count].reshape(-1, count, count),
        np.array([place[a] for a, _b in ends], dtype=np.intp),
        np.array([place[b] for _a, b in ends], dtype=np.intp),
        currents.reshape(len(ends), len(cases) * boards),
    )
    red, black, times = place[probe.red], place[probe.black], len(cases)
    if probe.mode == "D":
        return net.diode(red, black).reshape(times, boards)
    shown = net.ohms(red, black, np.tile(cloud.full_scale, times))
    made: Floats = shown.reshape(times, boards) + cloud.leads
    return made
