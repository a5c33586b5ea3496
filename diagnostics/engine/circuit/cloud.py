"""A cloud of virtual boards: one draw of everything that a family leaves open. PURE.

The same draws serve every fault, so that faults differ by what they change and not
by chance. Ohms are drawn evenly on their logarithm, volts of junctions evenly; the
drops of one board's junctions go together, since they come from one process.
"""

from collections.abc import Collection
from functools import cached_property

import numpy as np

from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import Circuit, Fault, Span

BOARDS = 96
SEED = 7
# Ohms of a short, by the trade's ranges: from a hard one to a soft one, but well
# under what the net's own load has (judgement).
SHORT: Span = (0.02, 12.0)
SHARE_OF_LOAD = 0.12
BRIDGE: Span = (0.02, 0.3)
NET_LEAK: Span = (3e6, 2e7)  # surface and inputs of a net by itself (judgement)
LEADS: Span = (0.1, 0.5)  # common practice
FULL_SCALE_VOLTS: Span = (0.25, 0.6)  # what ohms ranges reach (judgement)
DRIFTS: Span = (1.5, 20.0)  # of a resistor that changed its value (judgement)
PULSES: Span = (0.02, 0.6)  # of the time a refused supply is there (judgement)
# No regulator that works is further off than three of its spreads (judgement).
MOST_SPREADS = 3.0
TOGETHER = 0.7  # share of a junction's spread that its board has in common
COINS = ("latch", "pulse", "spare", "clamp", "leaked", "lost", "draws", "absent")


def log_share(span: Span, share: Floats) -> Floats:
    """From 0 to 1 onto a span, evenly on its logarithm."""
    low, high = np.log(span)
    made: Floats = np.exp(low + share * (high - low))
    return made


class Cloud:
    """Draws of ``boards`` virtual boards of a circuit."""

    def __init__(
        self,
        circuit: Circuit,
        boards: int = BOARDS,
        seed: int = SEED,
        *,
        is_even: bool = False,
    ) -> None:
        """``is_even``: what happens by chance happens on its share of the boards."""
        self.circuit, self.boards = circuit, boards
        self._random = np.random.default_rng(seed)
        self.load_ohms = {one.net: self.log(one.ohms) for one in circuit.loads}
        self.link_ohms = {one.id: self.log(one.ohms) for one in circuit.links}
        self.net_leaks = {net: self.log(NET_LEAK) for net in circuit.nets}
        shared = self._random.random(boards)
        self.load_drops = {
            one.net: self._drop(one.drop, shared) for one in circuit.loads if one.drop
        }
        self.drops = {one.id: self._drop(one.drop, shared) for one in circuit.junctions}
        self.level = {feed.to: 1 + self._level(feed.spread) for feed in circuit.feeds}
        self.amps = {one.net: self.even(one.amps) for one in circuit.loads if one.amps}
        self.leads = self.even(LEADS) * circuit.hold_leads
        self.full_scale = self.even(FULL_SCALE_VOLTS)
        self.bridges = self.log(BRIDGE)
        severity = self._evenly_spread()
        self.fault_ohms = {
            fault: log_share(self._fault_span(fault), severity)
            for fault in circuit.faults
        }
        if is_even:
            self.coins["spare"] = (np.arange(boards) + 0.5) / boards
        self._draw_what_is_fitted(shared)

    def only(self, circuit: Circuit) -> "Cloud":
        """This cloud with less of its circuit: the draws of what is left stay."""
        self.circuit = circuit
        nets = {*circuit.nets}
        for drawn in (self.load_ohms, self.load_drops, self.net_leaks, self.amps):
            for net in [net for net in drawn if net not in nets]:
                del drawn[net]
        return self

    def _draw_what_is_fitted(self, shared: Floats) -> None:
        """Loads with something in the board, by net and by what that is."""
        loads = [
            (one.net, what, load)
            for one in self.circuit.loads
            for what, load in one.fitted.items()
        ]
        self.fitted_ohms = {(n, what): self.log(one.ohms) for n, what, one in loads}
        self.fitted_drops = {
            (net, what): self._drop(one.drop, shared)
            for net, what, one in loads
            if one.drop
        }

    def with_fitted(
        self, fitted: Collection[str]
    ) -> tuple[dict[str, Floats], dict[str, Floats]]:
        """Ohms and drops of all loads with this in the board, by net."""
        ohms, drops = dict(self.load_ohms), dict(self.load_drops)
        for (net, what), own in self.fitted_ohms.items():
            if what in fitted:
                ohms[net] = own
                drops.pop(net, None)
        drops |= {
            net: own for (net, what), own in self.fitted_drops.items() if what in fitted
        }
        return ohms, drops

    def log(self, span: Span) -> Floats:
        return np.exp(self.even((float(np.log(span[0])), float(np.log(span[1])))))

    def even(self, span: Span) -> Floats:
        return self._random.uniform(span[0], span[1], self.boards)

    def _evenly_spread(self) -> Floats:
        """From 0 to 1, one draw in each of as many equal parts as there are boards."""
        places = self._random.permutation(self.boards)
        made: Floats = (places + self._random.random(self.boards)) / self.boards
        return made

    def _level(self, spread: float) -> Floats:
        most = MOST_SPREADS * spread
        return np.clip(self._random.normal(0, spread, self.boards), -most, most)

    def _drop(self, span: Span, shared: Floats) -> Floats:
        own = self._random.random(self.boards)
        share = TOGETHER * shared + (1 - TOGETHER) * own
        return span[0] + (span[1] - span[0]) * share

    def _fault_span(self, fault: Fault) -> Span:
        """Ohms of the fault's short or leak."""
        loads = {one.net: one.ohms for one in self.circuit.loads}
        for change in self.circuit.faults[fault]:
            if change.ohms is not None:
                return change.ohms
            if change.kind == "short" and change.at in loads:
                most = min(SHORT[1], SHARE_OF_LOAD * loads[change.at][0])
                return (min(SHORT[0], most / 20), most)
        return SHORT

    @cached_property
    def coins(self) -> dict[str, Floats]:
        """What no drawing says of a board, as even draws from 0 to 1.

        latch: a refused supply latches off or tries again; pulse: how long a pulse;
        spare: whether a fault took something with it; lost, leaked: how much of
        what should not be there is; absent: whether what not every board has is there.
        """
        return {name: self._random.random(self.boards) for name in COINS}

    @cached_property
    def drift(self) -> Floats:
        """By which factor a resistor is off that changed its value."""
        return log_share(DRIFTS, self.coins["draws"])

    @cached_property
    def pulse(self) -> Floats:
        """How much of the time a refused supply is there."""
        return log_share(PULSES, self.coins["pulse"])

    @cached_property
    def seeps(self) -> Floats:
        """Volts that may seep past what is off: mostly none, on some boards much."""
        made: Floats = 1.5 * self.coins["leaked"] ** 4
        return made
