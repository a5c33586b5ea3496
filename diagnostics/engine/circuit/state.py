"""The powered state of every board of a cloud with one fault. PURE.

Of each net three things are kept for every board: its mean volts, how much of the
time it is as it should be (``there``, 0 to 1), and ``blur``: how far the volts may
lie from the mean for reasons that the circuit leaves open (a pulsing converter
reads its mean).

What gives up is kept beside: the boards on which the input's path ``trips``, stays
``latched``, or is ``pinned`` at the limit of its source; by net of a source, where it
``strains`` at its limit and where it ``hiccups``; by feed, where it ``retries`` again
and again; by group of sources, who of them ``overloads`` it. All 0 or 1.
"""

from dataclasses import dataclass, field

import numpy as np

from diagnostics.engine.circuit.cloud import Cloud, log_share
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import GROUND, Change, Fault, Feed

PRESSED = "P"
AWAKE = frozenset("BR")
STEADY = 0.001  # volts that a steady net moves by itself
# What breaks down under a supply that it was not made for, in ohms (judgement).
CLAMPS = (0.3, 100.0)
OVERLOADS = frozenset({"short", "leak", "bridge"})


@dataclass
class State:
    """Volts, presence and blur of each net of every board with one fault."""

    cloud: Cloud
    fault: Fault
    condition: str
    volts: dict[str, Floats] = field(default_factory=dict)
    there: dict[str, Floats] = field(default_factory=dict)
    blur: dict[str, Floats] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.nought: Floats = np.zeros(self.cloud.boards)
        self.trips: Floats = self.nought
        self.latched: Floats = self.nought
        self.pinned: Floats = self.nought
        self.strains: dict[str, Floats] = {}
        self.hiccups: dict[str, Floats] = {}
        self.retries: dict[str, Floats] = {}
        self.overloads: dict[str, dict[str, Floats]] = {}
        circuit = self.cloud.circuit
        self.sources = circuit.sources(self.condition)
        steady = np.full_like(self.nought, STEADY)
        for net in (*circuit.nets, "", *(feed.supply for feed in circuit.feeds)):
            self.put(net, self.nought, self.nought, steady)
        self.changes: tuple[Change, ...] = tuple(circuit.faults.get(self.fault, ()))
        self._sort_changes()

    def _sort_changes(self) -> None:
        """What the fault did, by where one looks for it: it is asked at every feed."""
        self._did: dict[tuple[str, str], Change] = {}
        self._bridges: dict[str, str] = {}
        for one in self.changes:
            self._did.setdefault((one.kind, one.at), one)
            if one.kind == "bridge":
                self._bridges.setdefault(one.at, one.other)
                self._bridges.setdefault(one.other, one.at)
        self._may_overload = any(one.kind in OVERLOADS for one in self.changes)
        self._shorted: dict[str, Floats] = {}
        self._passes: dict[str, Floats] = {}

    # --- what the fault did

    def has(self, kind: str, at: str) -> bool:
        return (kind, at) in self._did

    def happens(self, kind: str, at: str) -> Floats:
        """1 on the boards on which the fault does that, else 0."""
        one = self._did.get((kind, at))
        if one is None:
            return self.nought
        return (self.cloud.coins["spare"] < one.chance) * 1.0

    def bridge(self, net: str) -> str:
        """The net at the other end of a bridge, or ""."""
        return self._bridges.get(net, "")

    def shorted(self, net: str) -> Floats:
        """Siemens from the net to ground that shouldn't be there."""
        if net not in self._shorted:
            self._shorted[net] = self._siemens(net)
        return self._shorted[net]

    def _siemens(self, net: str) -> Floats:
        ohms = self.cloud.fault_ohms.get(self.fault)
        found = self.nought
        for one in self.changes:
            if one.kind in {"short", "leak"} and one.at == net and ohms is not None:
                found = found + (self.cloud.coins["spare"] < one.chance) / ohms
        if self.bridge(net) == GROUND:
            found = found + 1 / self.cloud.bridges
        return found

    def near(self, net: str) -> Floats:
        """Siemens to ground at a net and behind links, but not past a path."""
        return self.beyond(net, is_past_paths=False)

    def beyond(self, net: str, *, is_past_paths: bool = True) -> Floats:
        """Siemens to ground at a net and behind whatever it passes its volts to."""
        if not self._may_overload:
            return self.nought
        found = self.shorted(net)
        for feed in self.cloud.circuit.feeds:
            if feed.supply == net and feed.kind == "through":
                ohms = self.link_ohms(feed.first)
                behind = self.beyond(feed.to, is_past_paths=is_past_paths)
                found = found + self.passes(feed) * behind / (1 + ohms * behind)
            elif feed.supply == net and feed.kind == "path" and is_past_paths:
                drive = np.maximum(self.there[feed.gate], self.pinned)
                found = found + drive * self.beyond(feed.to)
        return found + self._taken_along(net)

    def _taken_along(self, net: str) -> Floats:
        """A bridge from a supply to a phase puts the supply on the rail's loads:
        they break down, clamp, or bear it."""
        rail = self._bridged_rail(net)
        return self.clamped(net) + self.shorted(rail) if rail else self.nought

    def clamped(self, net: str) -> Floats:
        """Siemens of whole loads that clamp a supply which is bridged to them."""
        rail = self._bridged_rail(net)
        if not rail:
            return self.nought
        clamps = 1 / log_share(CLAMPS, self.coins["clamp"])
        made: Floats = np.where(self.shorted(rail) > 0, 0.0, clamps)
        return made

    def _bridged_rail(self, net: str) -> str:
        other = self.bridge(net)
        return next(
            (
                feed.to
                for feed in self.cloud.circuit.feeds
                if other and other in (feed.to, *feed.phases) and feed.supply == net
            ),
            "",
        )

    def link_ohms(self, link: str) -> Floats:
        ohms: Floats = self.cloud.link_ohms.get(link, self.nought)
        return ohms

    def passes(self, feed: Feed) -> Floats:
        """1 on the boards on which a link passes its volts on, else 0."""
        if feed.id not in self._passes:
            self._passes[feed.id] = self._is_whole(feed)
        return self._passes[feed.id]

    def _is_whole(self, feed: Feed) -> Floats:
        if not feed.is_used_in(self.condition):
            return self.nought
        cut = self.happens("open", feed.first) + self.happens("dead", feed.id)
        made: Floats = (cut == 0) * 1.0
        return made

    def gives_up(self, feed: Feed) -> Floats:
        """Boards on which an overload makes it hiccup, or latch off, for good."""
        return self.coins["latch"] < 0.5 * (1 - feed.held)

    def tries_again(self, feeds: tuple[str, ...]) -> Floats:
        """1 on the boards on which one of these feeds, or "any", retries."""
        among = [
            found
            for feed, found in self.retries.items()
            if feeds == ("any",) or feed in feeds
        ]
        return (sum(among, self.nought) > 0) * 1.0

    def limit(self, source: Feed) -> float:
        """Amperes that a source gives in this state of the board."""
        is_at_rest = source.amps_at_rest and self.condition not in AWAKE
        return source.amps_at_rest if is_at_rest else source.amps

    # --- what is put

    def put(
        self, net: str, volts: Floats, there: Floats, blur: Floats | None = None
    ) -> None:
        self.volts[net], self.there[net] = volts, there
        self.blur[net] = np.full_like(volts, STEADY) if blur is None else blur

    def waited(self, feed: Feed) -> Floats:
        """How much of the time all that a feed waits for is there."""
        if not feed.is_used_in(self.condition):
            return self.nought
        found = np.ones(self.cloud.boards)
        for net in feed.waits:
            found = np.minimum(found, self.there[net])
        for net, volts in feed.least.items():
            found = found * (self.volts[net] >= volts)
        if self.has("dead", feed.id):
            found = found * (1 - self.happens("dead", feed.id))
        return found

    def own(self, feed: Feed) -> Floats:
        return (feed.volts or 0.0) * self.cloud.level[feed.to]

    def partly(self, on: Floats, volts: float) -> Floats:
        """The blur of something that is there part of the time."""
        pulses = (on > 0) & (on < 1)
        return np.where(pulses, 0.05 + 0.4 * volts * on, STEADY)

    @property
    def coins(self) -> dict[str, Floats]:
        return self.cloud.coins

    @property
    def pulse(self) -> Floats:
        """How much of the time a refused supply is there."""
        return self.cloud.pulse

    @property
    def seeps(self) -> Floats:
        """Volts that may seep past what is off: mostly none, on some boards much."""
        return self.cloud.seeps
