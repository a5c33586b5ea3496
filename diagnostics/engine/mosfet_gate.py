"""The gate of a MOSFET: does it leak to source or drain? PURE.

Lifted it is read in diode mode, where anything but OL asks for ohms too: a volt
reading alone can't tell a leak from a junction. In circuit it is read in ohms,
because driver and pull-down hang on it.
"""

from collections.abc import Generator
from dataclasses import dataclass, replace
from math import inf
from typing import Protocol

from diagnostics.engine.guided import Answer, Ask, Mode, Said
from diagnostics.engine.packages import Setup
from diagnostics.engine.reasons import Reason, reason

SHORT_VOLTS = 0.05
SHORT_OHMS = 1e3  # lifted
DRIVER_SHORT_OHMS = 10.0  # in circuit
TIGHT_OHMS = 1e6
WAYS = (
    ("gate_source", "gate", "source"),
    ("gate_source_back", "source", "gate"),
    ("gate_drain", "gate", "drain"),
    ("gate_drain_back", "drain", "gate"),
)


class InHand(Protocol):
    @property
    def setup(self) -> Setup: ...
    def ask(self, step: str, mode: Mode, red: str, black: str) -> Ask: ...


@dataclass(frozen=True)
class Gate:
    """The least ohms seen, endless for OL; whether volts read where ohms are open.

    ``volts`` are of a short that showed in diode mode.
    """

    is_lifted: bool
    ohms: float = inf
    volts: float | None = None
    has_junction: bool = False

    @property
    def is_short(self) -> bool:
        limit = SHORT_OHMS if self.is_lifted else DRIVER_SHORT_OHMS
        return self.volts is not None or self.ohms < limit

    @property
    def is_leaky(self) -> bool:
        return self.ohms < TIGHT_OHMS

    def is_from(self, ohms: float) -> bool:
        return self.ohms >= ohms

    def says(self, code: str) -> Reason:
        if self.volts is not None:
            return reason("gate_shorted_volts", volts=self.volts)
        return reason(code, ohms=self.ohms)


def read_gate(hand: InHand) -> Generator[Ask, Answer, Gate]:
    """Gate to source and gate to drain, both ways; a short ends it."""
    gate = Gate(hand.setup.is_lifted)
    for way in WAYS:
        gate = yield from _one_way(hand, gate, *way)
        if gate.is_short:
            return gate
    return gate


def _one_way(
    hand: InHand, gate: Gate, step: str, red: str, black: str
) -> Generator[Ask, Answer, Gate]:
    mode = Mode.DIODE_OR_OHMS if gate.is_lifted else Mode.OHMS_OR_DIODE
    answer = yield hand.ask(step, mode, red, black)
    if answer.unit != "V":
        return _with_ohms(gate, answer, hand.setup)
    volts = answer.value or 0.0
    if gate.is_lifted and volts < SHORT_VOLTS:
        return replace(gate, volts=volts)
    answer = yield hand.ask(f"{step}_ohms", Mode.OHMS, red, black)
    found = _with_ohms(gate, answer, hand.setup)
    is_tight = answer.said is Said.OPEN or (answer.value or 0.0) >= TIGHT_OHMS
    return replace(found, has_junction=gate.has_junction or is_tight)


def read_gate_in_ohms(hand: InHand, gate: Gate) -> Generator[Ask, Answer, Gate]:
    """After OL in diode mode, which says no more than some kiloohms."""
    for step, red, black in (WAYS[0], WAYS[2]):
        answer = yield hand.ask(f"{step}_ohms", Mode.OHMS, red, black)
        gate = _with_ohms(gate, answer, hand.setup)
        if gate.is_leaky:
            break
    return gate


def _with_ohms(gate: Gate, answer: Answer, setup: Setup) -> Gate:
    if answer.value is None:
        return gate
    ohms = max(0.0, answer.value - setup.lead_ohms)
    return replace(gate, ohms=min(gate.ohms, ohms))
