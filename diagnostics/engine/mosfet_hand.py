"""The part in a MOSFET test: its asks, and both ways across drain and source. PURE."""

from collections.abc import Generator
from dataclasses import dataclass, replace
from enum import StrEnum
from math import inf

from diagnostics.engine.guided import Answer, Ask, Mode, Said
from diagnostics.engine.packages import Channel, Setup

# Volts in diode mode; common practice of the test.
SHORT_BELOW = 0.05
DIODE_FROM, DIODE_TO = 0.30, 0.75
LEAK_TO = 1.5
LEAK_OHMS = 1e6


class Across(StrEnum):
    """A diode-mode reading between drain and source."""

    SHORT = "short"
    LOW = "low"
    DIODE = "diode"
    HIGH = "high"
    VAGUE = "vague"
    CLIMBS = "climbs"
    OPEN = "open"


def across(answer: Answer, amps: float) -> Across:
    """Its class; ohms tell only a short from a leak, never a diode."""
    if answer.said is Said.CLIMBING:
        return Across.CLIMBS
    if answer.value is None:
        return Across.OPEN
    if answer.unit == "ohm" and answer.value >= LEAK_OHMS:
        return Across.OPEN
    if answer.unit == "ohm":
        is_short = answer.value * amps < SHORT_BELOW
        return Across.SHORT if is_short else Across.HIGH
    volts = answer.value
    limits = (
        (volts < SHORT_BELOW, Across.SHORT),
        (volts < DIODE_FROM, Across.LOW),
        (volts <= DIODE_TO, Across.DIODE),
        (volts <= LEAK_TO, Across.HIGH),
    )
    return next((name for holds, name in limits if holds), Across.VAGUE)


BLOCKS = frozenset({Across.OPEN, Across.CLIMBS})
LEAKS = frozenset({Across.SHORT, Across.LOW, Across.DIODE, Across.HIGH})
# A leak beside the body diode pulls the diode's own reading down (judgement).
WITH_A_LEAK = frozenset({Across.SHORT, Across.LOW, Across.DIODE})


@dataclass(frozen=True)
class Pair:
    """Both directions, named for the channel; unknown where both of them read."""

    forward: Across
    reverse: Across
    channel: Channel
    forward_volts: float
    reverse_answer: Answer

    @property
    def is_diode(self) -> bool:
        return self.forward is Across.DIODE and self.reverse in BLOCKS

    @property
    def is_short(self) -> bool:
        return self.forward is self.reverse is Across.SHORT

    @property
    def is_open(self) -> bool:
        return self.forward is self.reverse is Across.OPEN

    @property
    def leaks(self) -> bool:
        is_known = self.channel is not Channel.UNKNOWN
        return is_known and self.forward in WITH_A_LEAK and self.reverse in LEAKS


@dataclass(frozen=True)
class Hand:
    """The part in hand, as the asks need it."""

    setup: Setup
    channel: Channel

    def ask(self, step: str, mode: Mode, red: str, black: str) -> Ask:
        """Red and black as for N; swapped for P."""
        if self.channel is Channel.P:
            red, black = black, red
        pins = self.setup.pins
        return Ask(step, mode, getattr(pins, red), getattr(pins, black))

    def forward(self) -> Ask:
        return self.ask("forward", Mode.DIODE, "source", "drain")

    def reverse(self, step: str = "reverse") -> Ask:
        """A leak may be given in ohms, once it is known which way the diode is."""
        is_leak = self.setup.is_lifted and self.channel is not Channel.UNKNOWN
        mode = Mode.DIODE_OR_OHMS if is_leak else Mode.DIODE
        climbs = not self.setup.is_lifted
        return replace(self.ask(step, mode, "drain", "source"), may_climb=climbs)

    def discharge(self, step: str) -> Ask:
        return self.ask(step, Mode.ACT, "gate", "source")


def both_ways(hand: Hand) -> Generator[Ask, Answer, Pair]:
    amps, channel = hand.setup.diode_amps, hand.channel
    first = yield hand.forward()
    second = yield hand.reverse()
    one, other = across(first, amps), across(second, amps)
    if channel is Channel.UNKNOWN and one in BLOCKS and other not in BLOCKS:
        return Pair(other, one, Channel.P, number(second), first)
    if channel is Channel.UNKNOWN and other in BLOCKS and one not in BLOCKS:
        channel = Channel.N
    return Pair(one, other, channel, number(first), second)


def number(answer: Answer) -> float:
    return inf if answer.value is None else answer.value


def net(answer: Answer, setup: Setup) -> float:
    """Ohms less the leads; endless for OL."""
    if answer.value is None:
        return inf
    return max(0.0, answer.value - setup.lead_ohms)
