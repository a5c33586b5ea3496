"""MOSFET packages: which pins are gate, source and drain. PURE.

Pins are counted anticlockwise from the dot, seen from above. The maps are common
practice (near-universal for eight terminals); three terminals are "commonly" so
and proven only by finding the diode.
"""

import re
from dataclasses import dataclass
from enum import StrEnum

from diagnostics.engine.guided import PartTestError


class Outline(StrEnum):
    """The package as it is seen: terminals, and one die, two dies or an own map."""

    EIGHT = "eight"
    DUAL = "dual"
    THREE = "three"
    OWN = "own"


class Channel(StrEnum):
    N = "n"
    P = "p"
    UNKNOWN = "unknown"


class Seat(StrEnum):
    """Where in circuit the part sits."""

    ANYWHERE = "anywhere"
    LOW_SIDE = "low_side"
    HIGH_SIDE = "high_side"
    LOW_OHMS = "low_ohms"


@dataclass(frozen=True)
class Pins:
    gate: tuple[int, ...]
    source: tuple[int, ...]
    drain: tuple[int, ...]

    @property
    def all(self) -> tuple[int, ...]:
        return (*self.gate, *self.source, *self.drain)


MAPS = {
    (Outline.EIGHT, 1): Pins((4,), (1, 2, 3), (5, 6, 7, 8)),
    (Outline.DUAL, 1): Pins((2,), (1,), (7, 8)),
    (Outline.DUAL, 2): Pins((4,), (3,), (5, 6)),
    (Outline.THREE, 1): Pins((1,), (2,), (3,)),
}
TERMINALS = 8
PIN_OR_PINS = re.compile(r"([0-9]{1,2})(?:-([0-9]{1,2}))?")


@dataclass(frozen=True)
class Setup:
    """The part in hand, and the meter: diode mode's open-circuit volts and amperes.

    ``die`` is 1 or 2 of a dual; ``own`` is the map typed for a two-in-one stage.
    ``seat`` counts only in circuit. Raises ``PartTestError``: ``no_such_die``,
    ``pins_missing``.
    """

    outline: Outline
    channel: Channel
    is_lifted: bool
    seat: Seat = Seat.ANYWHERE
    die: int = 1
    own: Pins | None = None
    diode_volts: float = 3.0
    diode_amps: float = 1e-3
    lead_ohms: float = 0.0

    def __post_init__(self) -> None:
        if self.outline is Outline.OWN and self.own is None:
            raise PartTestError("pins_missing")
        if self.outline is not Outline.OWN and (self.outline, self.die) not in MAPS:
            raise PartTestError("no_such_die")

    @property
    def pins(self) -> Pins:
        if self.outline is Outline.OWN and self.own is not None:
            return self.own
        return MAPS[self.outline, self.die]


def own_map(gate: str, source: str, drain: str) -> Pins:
    """A map as it is typed: "2", "1, 3" or "5-8" for each.

    Raises ``PartTestError``: ``not_pins`` (text), ``no_such_pin`` (pin),
    ``pin_twice`` (pin).

    >>> own_map("1", "2-4", "5, 6")
    Pins(gate=(1,), source=(2, 3, 4), drain=(5, 6))
    """
    pins = Pins(pin_list(gate), pin_list(source), pin_list(drain))
    for pin in pins.all:
        if pins.all.count(pin) > 1:
            raise PartTestError("pin_twice", pin=pin)
    return pins


def pin_list(text: str) -> tuple[int, ...]:
    """Pins of an eight-terminal part, in the order typed.

    >>> pin_list("5-7 8")
    (5, 6, 7, 8)
    """
    joined = re.sub(r" *- *", "-", text.strip())
    found: list[int] = []
    for part in re.split(r"[ ,;+]+", joined):
        match = PIN_OR_PINS.fullmatch(part)
        if match is None:
            raise PartTestError("not_pins", text=text[:20])
        found += _between(int(match[1]), int(match[2] or match[1]))
    return tuple(found)


def _between(first: int, last: int) -> range:
    for pin in (first, last):
        if not 1 <= pin <= TERMINALS:
            raise PartTestError("no_such_pin", pin=pin)
    return range(min(first, last), max(first, last) + 1)
