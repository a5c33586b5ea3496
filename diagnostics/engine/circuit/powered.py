"""Powered readings: volts of every net and the supply current, by condition. PURE.

Feeds are gone through in their order until nothing moves. Of each net three things
are kept for every board: its mean volts, how much of the time it is as it should be
(``there``, 0 to 1), and ``blur``: how far the volts may lie from the mean for
reasons that the circuit leaves open (a pulsing converter reads its mean).
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

from diagnostics.engine.circuit.cloud import Cloud
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import Change, Fault, Feed

PRESSED = "P"
SWEEPS = 4
STEADY = 0.001  # volts that a steady net moves by itself
HELD_LOW = 0.03  # what an open-drain line that is pulled low shows (judgement)
# Off is not nought: nets behind a blocked MOSFET float up by leaks (judgement).
FLOATS_UP, FLOATS_BY = 0.15, 0.4
COLLAPSED = 0.45  # a supply that reaches less of its volts gives up (judgement)
QUIET_AMPS = 0.004


@dataclass
class Powered:
    """Volts, presence and blur of each net, and the current of the supply."""

    cloud: Cloud
    fault: Fault
    condition: str
    volts: dict[str, Floats] = field(default_factory=dict)
    there: dict[str, Floats] = field(default_factory=dict)
    blur: dict[str, Floats] = field(default_factory=dict)
    trips: Floats | None = None
    strains: Floats | None = None
    latched: Floats | None = None

    def __post_init__(self) -> None:
        self.nought = np.zeros(self.cloud.boards)
        for net in self.cloud.circuit.nets:
            self.put(net, self.nought, self.nought)
        changes = self.cloud.circuit.faults.get(self.fault, ())
        self.changes: tuple[Change, ...] = tuple(changes)
        for _sweep in range(SWEEPS):
            for feed in self.cloud.circuit.feeds:
                KINDS[feed.kind](self, feed)

    # --- what the fault did

    def has(self, kind: str, at: str) -> bool:
        return any(one.kind == kind and one.at == at for one in self.changes)

    def happens(self, kind: str, at: str) -> Floats:
        """1 on the boards on which the fault does that, else 0."""
        for one in self.changes:
            if one.kind == kind and one.at == at:
                return (self.cloud.coins["spare"] < one.chance) * 1.0
        return self.nought

    def bridge(self, net: str) -> str:
        """The net at the other end of a bridge, or ""."""
        for one in self.changes:
            if one.kind == "bridge" and net in {one.at, one.other}:
                return one.other if one.at == net else one.at
        return ""

    def shorted(self, net: str) -> Floats:
        """Siemens from the net to ground that shouldn't be there."""
        ohms = self.cloud.fault_ohms.get(self.fault)
        found = self.nought
        for one in self.changes:
            if one.kind in {"short", "leak"} and one.at == net and ohms is not None:
                found = found + (self.cloud.coins["spare"] < one.chance) / ohms
        if self.bridge(net) == "ground":
            found = found + 1 / self.cloud.bridges
        return found

    def beyond(self, net: str) -> Floats:
        """Siemens to ground at a net and behind whatever it passes its volts to."""
        found = self.shorted(net)
        for feed in self.cloud.circuit.feeds:
            if feed.supply == net and feed.kind == "through":
                ohms = self.link_ohms(feed.first)
                behind = self.beyond(feed.to)
                found = found + self.passes(feed) * behind / (1 + ohms * behind)
            elif feed.supply == net and feed.kind == "path":
                found = found + self.there[feed.gate] * self.beyond(feed.to)
        return found + self._taken_along(net)

    def _taken_along(self, net: str) -> Floats:
        """A bridge from a supply to a phase puts the supply on the rail's loads:
        they break down, clamp, or bear it."""
        other = self.bridge(net)
        rail = next(
            (
                feed.to
                for feed in self.cloud.circuit.feeds
                if other in feed.phases and feed.supply == net
            ),
            "",
        )
        if not rail:
            return self.nought
        coins = self.cloud.coins
        clamps = np.exp(np.log(0.3) + coins["clamp"] * np.log(100 / 0.3)) ** -1
        broken = self.shorted(rail)
        return np.where(broken > 0, broken, clamps)

    def link_ohms(self, link: str) -> Floats:
        return self.cloud.link_ohms.get(link, self.nought)

    def passes(self, feed: Feed) -> float:
        return 0.0 if self.has("open", feed.first) else 1.0

    # --- what is put

    def put(
        self, net: str, volts: Floats, there: Floats, blur: Floats | None = None
    ) -> None:
        self.volts[net], self.there[net] = volts, there
        self.blur[net] = np.full_like(volts, STEADY) if blur is None else blur

    def waited(self, feed: Feed) -> Floats:
        """How much of the time all that a feed waits for is there."""
        found = np.ones(self.cloud.boards)
        if feed.states and self.condition not in feed.states:
            return self.nought
        for net in feed.waits:
            found = np.minimum(found, self.there[net])
        for net, volts in feed.least.items():
            found = found * (self.volts[net] >= volts)
        return found * (1 - self.happens("dead", feed.id))

    def own(self, feed: Feed) -> Floats:
        return (feed.volts or 0.0) * self.cloud.level[feed.to]

    def partly(self, on: Floats, volts: float) -> Floats:
        """The blur of something that is there part of the time."""
        pulses = (on > 0) & (on < 1)
        return np.where(pulses, 0.05 + 0.4 * volts * on, STEADY)

    @property
    def coins(self) -> dict[str, Floats]:
        return self.cloud.coins


# --- supplies -------------------------------------------------------------------


def _source(board: Powered, feed: Feed) -> None:
    on = board.waited(feed)
    full = np.ones(board.cloud.boards)
    for net in feed.full_after:
        full = full * (board.there[net] > 0)
    full = full * (1 - board.happens("low", feed.id))
    given = (feed.volts or 0.0) * full + feed.first_volts * (1 - full)
    open_volts = given * board.cloud.level[feed.to] * on
    here, beyond = board.shorted(feed.to), board.beyond(feed.to)
    strained = open_volts * beyond > 0.9 * feed.amps
    held = feed.amps / np.maximum(here, 1e-9)
    volts = np.where(here > 0, np.minimum(open_volts, held), open_volts)
    hiccups = strained & (volts < 6) & (board.coins["latch"] < 0.5)
    volts = np.where(hiccups, 0.1 * volts, volts)
    blur = np.where(hiccups, 0.15 + volts, np.where(strained, 1.5, STEADY))
    if board.has("weak", feed.id):
        volts = volts * (0.75 + 0.25 * board.coins["lost"])
        blur = np.full_like(volts, 1.0)
    board.strains = np.where(hiccups, 0.05, np.where(strained, 1.0, 0.0))
    board.put(feed.to, volts, (volts > 0.9 * (feed.volts or 0.0)) * 1.0, blur)


def _linear(board: Powered, feed: Feed) -> None:
    on = board.waited(feed)
    left = board.volts[feed.supply] - feed.headroom
    volts = np.clip(np.minimum(board.own(feed), left), 0, None) * (on > 0)
    is_low = (volts > 0.1) & (volts < 0.95 * board.own(feed))
    siemens = board.shorted(feed.to)
    short = feed.amps / np.maximum(siemens, 1e-9)
    over = (siemens > 0) & (volts * siemens > feed.amps)
    volts = np.where(over, np.minimum(volts, short), volts)
    part = (on > 0) & (on < 1)
    nominal = feed.volts or 0.0
    blur = np.where(part, 0.6 * nominal, np.where(is_low | over, 0.08, STEADY))
    volts = np.where(part, volts * on, volts)
    there = on * (volts > 0.9 * nominal) + (on * part) * (volts <= 0.9 * nominal)
    board.put(feed.to, volts, there, blur)


def _path(board: Powered, feed: Feed) -> None:
    """Two MOSFETs back to back, their gates on one driver."""
    supply, coins = board.volts[feed.supply], board.coins
    is_shorted = board.bridge(feed.middle) == feed.supply
    drive = board.there[feed.gate]
    middle = np.ones_like(supply) if is_shorted else drive.copy()
    if board.has("open", feed.first):
        middle = board.nought
    behind = middle * (0.0 if board.has("open", feed.second) else 1.0)
    siemens = board.beyond(feed.to)
    limit = _limit(board)
    held = np.minimum(supply, limit / np.maximum(siemens, 1e-9))
    volts = np.where(siemens > 0, held, supply) * behind
    trips = (behind > 0) & (supply > 1) & (volts < COLLAPSED * supply)
    is_weak = any(one.kind == "weak" for one in board.changes)
    if is_weak:
        trips = (behind > 0) & (supply > 1)
    latched = trips & (coins["latch"] < 0.5) & (not is_weak)
    share = 0.1 + 0.5 * coins["pulse"] if is_weak else 0.15 * _pulse(board)
    volts = np.where(trips, np.where(latched, 0.0, supply * share), volts)
    there = np.where(trips, np.where(latched, 0.0, 0.3 * share), behind * (volts > 6))
    seeps = 0.05 + 1.5 * coins["leaked"] ** 4
    blur = np.where(trips, 0.4 + 0.5 * volts, np.where(behind > 0, 0.02, seeps))
    board.put(feed.to, volts, there, blur)
    low = (FLOATS_UP + FLOATS_BY * coins["leaked"]) * (supply > 1)
    is_on = (middle > 0) & ~latched
    at_middle = np.where(is_on, np.where(trips, volts + 0.3, supply), low)
    spread = np.where(is_on & ~trips, 0.02, np.where(latched, 0.1, 0.3))
    if board.has("open", feed.first):
        at_middle = board.nought
    if board.has("open", feed.second):
        at_middle = supply * middle * (1 - 0.1 * coins["leaked"])
        spread = np.full_like(supply, 0.8)
    board.put(feed.middle, at_middle, middle, spread)
    board.trips, board.latched = trips * 1.0, latched * 1.0


def _limit(board: Powered) -> Floats:
    source = next(one for one in board.cloud.circuit.feeds if one.kind == "source")
    return np.full(board.cloud.boards, source.amps)


def _pulse(board: Powered) -> Floats:
    """How much of the time a refused supply is there: 2 to 60 %."""
    return np.exp(np.log(0.02) + board.coins["pulse"] * np.log(0.6 / 0.02))


def _through(board: Powered, feed: Feed) -> None:
    """A link passes the volts on; behind it a short divides them."""
    whole = board.passes(feed)
    behind = board.link_ohms(feed.first) * board.shorted(feed.to)
    volts = board.volts[feed.supply] * whole / (1 + behind)
    there = board.there[feed.supply] * whole * (behind < 0.1)
    blur = board.blur[feed.supply] * whole + np.where(behind > 0.02, 0.25, STEADY)
    if not whole and board.bridge(feed.to) == "":
        blur = 0.05 + 1.5 * board.coins["leaked"] ** 4
    board.put(feed.to, volts, there, blur)


def _buck(board: Powered, feed: Feed) -> None:
    nominal, coins = feed.volts or 0.0, board.coins
    on = board.waited(feed)
    opened = [one for one in feed.high_sides if board.has("open", one)]
    there = on * (0.0 if opened and len(opened) == len(feed.high_sides) else 1.0)
    volts = board.own(feed) * there
    blur = board.partly(there, nominal)
    siemens = board.beyond(feed.to) + sum(
        (board.shorted(phase) for phase in feed.phases), board.nought
    )
    trips = (siemens > 0) & (nominal * siemens > feed.amps) & (there > 0)
    volts = np.where(trips, nominal * 0.05 * _pulse(board), volts)
    blur = np.where(trips, 0.03, blur)
    there = np.where(trips, 0.0, there)
    phases = [volts * (1.0 if len(opened) == 0 else 1.012)] * len(feed.phases)
    spread = blur
    if opened and len(opened) < len(feed.high_sides):
        sags = (coins["spare"] >= 0.4) & (coins["spare"] < 0.75)
        runs = coins["spare"] < 0.4
        volts = np.where(
            runs, volts, volts * np.where(sags, 0.3 + 0.6 * coins["lost"], 0.01)
        )
        there = np.where(runs, there, 0.0)
        blur = spread = np.where(sags, 0.1, blur)
        phases = [
            volts * (0.997 if side in opened else 1.012) for side in feed.high_sides
        ]
    elif feed.inductors and all(board.has("open", one) for one in feed.inductors):
        phases = [np.where(on > 0, nominal * (0.05 + 0.7 * coins["pulse"]), 0.0)] * len(
            feed.phases
        )
        spread = np.where(on > 0, 0.25 * nominal, STEADY)
        volts, there, blur = board.nought, board.nought, board.nought + STEADY
    if any(board.bridge(phase) == feed.supply for phase in feed.phases):
        volts = board.volts[feed.supply]
        phases = [volts] * len(feed.phases)
        there = board.nought
        blur = spread = np.where(volts > 6, 0.3, board.blur[feed.supply])
    board.put(feed.to, volts, there, blur)
    for net, at_phase in zip(feed.phases, phases, strict=True):
        board.put(net, at_phase, there, spread)


def _switch(board: Powered, feed: Feed) -> None:
    on = board.waited(feed) * board.there[feed.supply]
    share = (feed.volts or 1.0) * board.cloud.level[feed.to]
    volts = board.volts[feed.supply] * share * on
    siemens = board.shorted(feed.to)
    volts = np.where(siemens > 0.2, volts * 0.05 * _pulse(board), volts)
    there = np.where(siemens > 0.2, 0.0, on)
    blur = board.partly(on, float(volts.max(initial=0.0)))
    if board.has("dead", feed.id):
        blur = np.full_like(volts, 0.05)
    board.put(feed.to, volts, there, blur)


# --- signals --------------------------------------------------------------------


def _line(board: Powered, feed: Feed) -> None:
    """A signal: driven, or pulled up to its supply and held low till all is good."""
    is_cut = bool(feed.first) and board.has("open", feed.first)
    on = board.waited(feed) * (0.0 if is_cut else 1.0)
    level = board.own(feed) if feed.volts else board.volts[feed.supply] + feed.above
    powered = (board.volts[feed.supply] > 1) if feed.supply else on > 0
    volts = level * on
    blur = board.partly(on, float(level.max(initial=0.0))) + 0.005 * np.abs(volts)
    there = on if feed.above or not feed.supply else on * board.there[feed.supply]
    if feed.above:
        volts, blur = _above(board, feed, on)
    if feed.pull_up:
        volts = np.where((on == 0) & powered, HELD_LOW, volts)
        blur = np.where(on == 0, 0.03, blur)
        if board.has("open", feed.pull_up):
            volts = np.where(powered, HELD_LOW + 0.4 * board.coins["leaked"], 0.0)
            blur, there = np.full_like(volts, 0.12), board.nought
    if is_cut and feed.first_volts:
        alive = board.waited(feed)
        volts, blur = feed.first_volts * alive, np.full_like(volts, 1.0)
    if board.has("dead", feed.id):
        blur = np.maximum(blur, 0.03 if feed.supply and not feed.volts else 0.1)
    board.put(feed.to, volts, there, blur)


def _above(board: Powered, feed: Feed, on: Floats) -> tuple[Floats, Floats]:
    """A gate driven above its source; it falls back where the path latched off."""
    source, spread = board.volts[feed.supply], board.blur[feed.supply]
    trips = board.nought if board.trips is None else board.trips
    latched = board.nought if board.latched is None else board.latched
    is_driven = (on > 0) & (latched == 0)
    lift = np.where(trips > 0, feed.above * _pulse(board), feed.above)
    volts = source + np.where(is_driven, lift, 0.0)
    seeps = 1.5 * board.coins["leaked"] ** 4 * (on == 0)
    return volts, 0.12 + 3 * spread * is_driven + 1.0 * (trips > latched) + seeps


def _contact(board: Powered, feed: Feed) -> None:
    """A switch to ground on a line that is pulled up."""
    is_cut = board.has("open", feed.first)
    rest = board.volts[feed.supply]
    if is_cut:
        rest = np.where(rest > 1, 0.05 + 0.6 * board.coins["leaked"], 0.0)
    blur = np.full_like(rest, 0.25) if is_cut else board.blur[feed.supply]
    worn = board.has("worn", feed.id)
    volts = rest
    if board.condition == PRESSED:
        volts = rest * (0.3 + 0.65 * board.coins["lost"]) if worn else rest * 0 + 0.007
        blur = np.full_like(rest, 0.5 if worn else 0.01)
    works = 0.0 if worn or is_cut else 1.0
    board.put(feed.to, volts, board.there[feed.supply] * works, blur)


KINDS: Mapping[str, Callable[[Powered, Feed], None]] = {
    "source": _source,
    "linear": _linear,
    "path": _path,
    "through": _through,
    "buck": _buck,
    "switch": _switch,
    "line": _line,
    "contact": _contact,
}


# --- the supply's current ---------------------------------------------------------


def supply_amps(board: Powered) -> tuple[Floats, Floats]:
    """Amperes of the supply and their blur: all loads that are up, and shorts."""
    source = next(one for one in board.cloud.circuit.feeds if one.kind == "source")
    input_volts = np.maximum(board.volts[source.to], 1.0)
    amps = QUIET_AMPS * (board.volts[source.to] > 5)
    for net, drawn in board.cloud.amps.items():
        amps = amps + drawn * board.there[net]
    for feed in board.cloud.circuit.feeds:
        siemens = board.shorted(feed.to)
        watts = board.volts[feed.to] ** 2 * siemens
        if feed.kind == "linear":
            watts = board.volts[feed.to] * siemens * input_volts
        elif feed.kind == "through":
            watts = board.volts[feed.to] * siemens * board.volts[feed.supply]
        amps = amps + watts / input_volts
    path = next((one for one in board.cloud.circuit.feeds if one.kind == "path"), None)
    if path is not None:
        extra = board.beyond(path.to) - board.shorted(path.to)
        amps = amps + board.volts[path.to] * np.maximum(extra, 0) * (board.trips == 0)
    strains = board.nought if board.strains is None else board.strains
    amps = np.where(strains == 0.05, 0.05 * amps, amps)
    amps = np.minimum(amps, 1.06 * source.amps)
    trips = board.nought if board.trips is None else board.trips
    latched = board.nought if board.latched is None else board.latched
    blur = 0.25 * amps + 0.002
    rough = 0.3 * amps + 0.1 * source.amps * _pulse(board) + 0.03
    blur = np.where((trips > 0) | (strains > 0), rough, blur)
    quiet = QUIET_AMPS + 0.008 * board.coins["draws"]
    amps = np.where(latched > 0, quiet, amps)
    return amps, np.where(latched > 0, QUIET_AMPS, blur)
