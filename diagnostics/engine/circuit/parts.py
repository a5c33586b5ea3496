"""What a family's circuit is made of: frozen shapes, SI units. PURE.

Spans are what the family declares of its designs: every virtual board draws its own
value from each. ``GROUND`` is the one net that every family has.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

Span = tuple[float, float]
GROUND = "ground"


@dataclass(frozen=True)
class Load:
    """What hangs on a net to ground: ohms, a junction from ground, what it draws.

    ``drop`` is the junction's at 1 mA; ``amps`` are drawn from the supply of the
    board while the net is up.
    """

    net: str
    ohms: Span
    drop: Span | None = None
    amps: Span | None = None


@dataclass(frozen=True)
class Link:
    """Ohms between two nets: a fuse, an inductor, a resistor, a line."""

    id: str
    ends: tuple[str, str]
    ohms: Span


@dataclass(frozen=True)
class Junction:
    """A diode, or the body diode of a MOSFET; its drop at 1 mA."""

    id: str
    anode: str
    cathode: str
    drop: Span


@dataclass(frozen=True)
class Feed:
    """What makes a net's volts, from what, and what it waits for.

    kind      source, linear, buck, path (two MOSFETs back to back), switch, through
              (a link passes them on), line (a driven or pulled-up signal), contact
    supply    the net whose volts it turns into its own, or whose level it takes
    volts     its own level; without it the supply's
    amps      its limit
    waits     nets that must be there; ``least`` volts that nets must have
    states    conditions in which it may be on; all where empty
    """

    id: str
    kind: str
    to: str
    supply: str = ""
    volts: float | None = None
    first_volts: float = 0.0
    amps: float = 0.0
    headroom: float = 0.0
    above: float = 0.0
    spread: float = 0.012
    waits: tuple[str, ...] = ()
    full_after: tuple[str, ...] = ()
    least: Mapping[str, float] = field(default_factory=dict)
    states: str = ""
    middle: str = ""
    gate: str = ""
    first: str = ""
    second: str = ""
    phases: tuple[str, ...] = ()
    inductors: tuple[str, ...] = ()
    high_sides: tuple[str, ...] = ()
    pull_up: str = ""


@dataclass(frozen=True)
class Change:
    """What one way of failing does to the circuit, on a share of the boards.

    kind: short, leak, bridge, open, dead, low, weak, worn. ``at`` is a net, link,
    junction or feed; ``other`` the second end of a bridge.
    """

    kind: str
    at: str
    other: str = ""
    ohms: Span | None = None
    chance: float = 1.0


Fault = tuple[str, str]
"""A part and its way of failing."""

NO_FAULT: Fault = ("", "")


@dataclass(frozen=True)
class Circuit:
    """The circuit of a family, and what each fault changes in it."""

    loads: tuple[Load, ...]
    links: tuple[Link, ...]
    junctions: tuple[Junction, ...]
    feeds: tuple[Feed, ...]
    faults: Mapping[Fault, tuple[Change, ...]]

    @property
    def nets(self) -> tuple[str, ...]:
        """Every net but ground, in order of appearance."""
        found: dict[str, None] = {}
        for load in self.loads:
            found[load.net] = None
        for link in self.links:
            found |= dict.fromkeys(link.ends)
        for one in self.junctions:
            found |= dict.fromkeys((one.anode, one.cathode))
        for feed in self.feeds:
            found |= dict.fromkeys((feed.to, *feed.phases))
        found.pop(GROUND, None)
        return tuple(found)
