"""Powered readings: volts of every net and the supply current, by condition. PURE.

Feeds are gone through in their order until nothing moves: a fixed point over the
blocks of the rail tree.
"""

from collections.abc import Callable, Mapping

import numpy as np

from diagnostics.engine.circuit import signals, supplies
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import Feed
from diagnostics.engine.circuit.state import PRESSED, State

__all__ = ["PRESSED", "Powered", "State", "supply_amps"]

SWEEPS = 4
QUIET_AMPS = 0.004

KINDS: Mapping[str, Callable[[State, Feed], None]] = {
    "source": supplies.source,
    "linear": supplies.linear,
    "path": supplies.path,
    "through": supplies.through,
    "buck": supplies.buck,
    "switch": supplies.switch,
    "line": signals.line,
    "contact": signals.contact,
}


class Powered(State):
    """The state of every board, settled."""

    def __post_init__(self) -> None:
        super().__post_init__()
        for _sweep in range(SWEEPS):
            for feed in self.cloud.circuit.feeds:
                KINDS[feed.kind](self, feed)


# --- the supply's current ---------------------------------------------------------


def supply_amps(board: State) -> tuple[Floats, Floats]:
    """Amperes of the supply and their blur: all loads that are up, and shorts."""
    source = board.source
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
    trips = board.nought if board.trips is None else board.trips
    for net in board.cloud.circuit.nets:
        amps = amps + board.volts[net] * board.clamped(net) * (trips == 0)
    strains = board.nought if board.strains is None else board.strains
    amps = np.where(strains == 0.05, 0.05 * amps, amps)
    amps = np.minimum(amps, 1.06 * source.amps)
    latched = board.nought if board.latched is None else board.latched
    blur = 0.25 * amps + 0.002
    rough = 0.3 * amps + 0.1 * source.amps * board.pulse + 0.03
    blur = np.where((trips > 0) | (strains > 0), rough, blur)
    quiet = QUIET_AMPS + 0.008 * board.coins["draws"]
    amps = np.where(latched > 0, quiet, amps)
    return amps, np.where(latched > 0, QUIET_AMPS, blur)
