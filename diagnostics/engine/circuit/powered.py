"""Powered readings: volts of every net and the supply current, by condition. PURE.

Feeds are gone through in their order until nothing moves: a fixed point over the
blocks of the rail tree.
"""

from collections.abc import Callable, Mapping

import numpy as np

from diagnostics.engine.circuit import converters, signals, supplies
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import Circuit, Feed
from diagnostics.engine.circuit.state import AWAKE, PRESSED, State

__all__ = ["PRESSED", "Powered", "State", "supply_amps"]

SWEEPS = 4
QUIET_AMPS = 0.004
QUIET_VOLTS = 0.25  # of its volts: a source that gives less feeds nothing
# A converter that retries into a short moves the current from 0 to 80 mA (common
# practice, domain brief 2a): evenly spread, 23 mA.
HUNTS_BY = 0.023
HICCUP_SHARE = 0.05  # of the time that a source which hiccups is on (judgement)

KINDS: Mapping[str, Callable[[State, Feed], None]] = {
    "source": supplies.source,
    "linear": supplies.linear,
    "path": supplies.path,
    "through": supplies.through,
    "buck": converters.buck,
    "switch": supplies.switch,
    "line": signals.line,
    "contact": signals.contact,
}


class Powered(State):
    """The state of every board, settled."""

    def __post_init__(self) -> None:
        super().__post_init__()
        for sweep in range(SWEEPS):
            before = [dict(kept) for kept in (self.volts, self.there, self.blur)]
            for feed in self.cloud.circuit.feeds:
                KINDS[feed.kind](self, feed)
            if sweep > 0 and self._is_settled(before):
                break

    def _is_settled(self, before: list[dict[str, Floats]]) -> bool:
        """Whether a sweep moved nothing."""
        now = (self.volts, self.there, self.blur)
        return all(
            kept[net] is was[net] or np.array_equal(kept[net], was[net])
            for kept, was in zip(now, before, strict=True)
            for net in kept
        )


def likeness(circuit: Circuit, condition: str) -> tuple[object, ...]:
    """Conditions that are alike here: a board's state is the same in both."""
    used = tuple(feed.is_used_in(condition) for feed in circuit.feeds)
    return used, condition in AWAKE, condition == PRESSED


# --- the supply's current ---------------------------------------------------------


def supply_amps(board: State, net: str = "") -> tuple[Floats, Floats]:
    """Amperes of a source and their blur: all of its loads that are up, and shorts.

    ``net`` is the source's; without it the first source's.
    """
    sources = board.sources
    source = sources[net]
    volts = np.maximum(board.volts[source.to], 1.0)
    amps = QUIET_AMPS * (board.volts[source.to] > QUIET_VOLTS * (source.volts or 0.0))
    for one, drawn in board.cloud.amps.items():
        if sources[one] is source:
            amps = amps + drawn * board.there[one]
    hunts = nought = board.nought
    for feed in board.cloud.circuit.feeds:
        if sources[feed.to] is source:
            hunts = hunts + board.retries.get(feed.id, nought)
            amps = amps + _into_a_short(board, feed, volts) / volts
            amps = amps + board.volts[feed.to] * board.clamped(feed.to) * (
                board.trips == 0
            )
    hiccups = board.hiccups.get(source.to, nought)
    strains = board.strains.get(source.to, nought)
    amps = np.where(hiccups > 0, HICCUP_SHARE * amps, amps)
    limit = board.limit(source)
    amps = np.where(board.pinned > 0, limit, np.minimum(amps, 1.06 * limit))
    blur = 0.25 * amps + 0.002 + HUNTS_BY * (hunts > 0)
    rough = 0.3 * amps + 0.1 * limit * board.pulse + 0.03
    is_rough = (board.trips > 0) | (strains > 0) | (hiccups > 0)
    blur = np.where(is_rough, rough, blur)
    blur = np.where(board.pinned > 0, 0.02 * limit, blur)
    quiet = QUIET_AMPS + 0.008 * board.coins["draws"]
    amps = np.where(board.latched > 0, quiet, amps)
    return amps, np.where(board.latched > 0, QUIET_AMPS, blur)


def _into_a_short(board: State, feed: Feed, input_volts: Floats) -> Floats:
    """Watts that a short on a net takes from the source, by what feeds it."""
    siemens = board.shorted(feed.to)
    if feed.kind == "linear":
        made: Floats = board.volts[feed.to] * siemens * input_volts
    elif feed.kind == "through":
        made = board.volts[feed.to] * siemens * board.volts[feed.supply]
    else:
        made = board.volts[feed.to] ** 2 * siemens
    return made
