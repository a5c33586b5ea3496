"""What a family's circuit is made of: frozen shapes, SI units. PURE.

Spans are what the family declares of its designs: every virtual board draws its own
value from each. ``GROUND`` is the one net that every family has.
"""

import string
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple, TypeVar

Span = tuple[float, float]
GROUND = "ground"
SOURCE = "source"
PLACE = "@"


@dataclass(frozen=True)
class Load:
    """What hangs on a net to ground: ohms, a junction from ground, what it draws.

    ``drop`` is the junction's at 1 mA; ``amps`` are drawn from the supply of the
    board while the net is up. ``fitted`` are the loads that lie there instead with
    something in the board, such as its CPU; they draw the same.
    """

    net: str
    ohms: Span
    drop: Span | None = None
    amps: Span | None = None
    fitted: Mapping[str, "Load"] = field(default_factory=dict)


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
    amps      its limit; ``amps_at_rest`` while the board is off, where that is less
    headroom  volts that it loses at least
    body_drop volts that a path loses while its first MOSFET is off
    waits     nets that must be there; ``least`` volts that nets must have
    states    conditions in which it may be on; all where empty. In others a source
              or path leaves its net to another feed
    held      share of boards on which an overload holds it at its limit; on half of
              the others it latches off (a source hiccups)
    group     sources that shut down together
    pressed   the signal that stands for this contact while it is held down
    is_low    a line that says yes by being low
    may_be_absent  half of the boards have none of it
    """

    id: str
    kind: str
    to: str
    supply: str = ""
    volts: float | None = None
    first_volts: float = 0.0
    amps: float = 0.0
    amps_at_rest: float = 0.0
    headroom: float = 0.0
    body_drop: float = 0.0
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
    held: float = 0.0
    group: str = ""
    pressed: str = ""
    is_low: bool = False
    may_be_absent: bool = False

    def is_used_in(self, condition: str) -> bool:
        return not self.states or condition in self.states


NO_SOURCE = Feed("", SOURCE, "")
"""Of a board whose source isn't fitted: it gives nothing."""


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
"""A part and its way of failing; "way@place" where its place is a guess of many."""

NO_FAULT: Fault = ("", "")


class Split(NamedTuple):
    """A fault in three: the place is "" where the way of failing says it itself."""

    part: str
    mode: str
    place: str


def split(fault: Fault) -> Split:
    """
    >>> split(("p.trace", "open@ec.33"))
    Split(part='p.trace', mode='open', place='ec.33')
    """
    mode, _at, place = fault[1].partition(PLACE)
    return Split(fault[0], mode, place)


@dataclass(frozen=True)
class Answer:
    """One of a check's answers, and what must be so on the board for it.

    Nets that are ``up`` (as they should be) and ``low`` (under a volt);
    ``retries``: one of these feeds, or "any", tries again and again; ``at_limit``:
    the supply is held at its limit; ``share`` of the boards that then answer so.
    """

    name: str
    up: tuple[str, ...] = ()
    low: tuple[str, ...] = ()
    retries: tuple[str, ...] = ()
    at_limit: bool = False
    share: float = 1.0


@dataclass(frozen=True)
class ReadAt:
    """Where a point is read in the circuit: a net, or the first of two to the second.

    No nets: nowhere. ``condition`` where it isn't the check's own.
    """

    nets: tuple[str, ...]
    condition: str = ""


@dataclass(frozen=True)
class Circuit:
    """The circuit of a family, and what each fault changes in it.

    ``read_at`` and ``answers`` go by point, by a point without its number, or by
    check. Readings are net of the leads unless they ``hold_leads``.
    """

    loads: tuple[Load, ...]
    links: tuple[Link, ...]
    junctions: tuple[Junction, ...]
    feeds: tuple[Feed, ...]
    faults: Mapping[Fault, tuple[Change, ...]]
    read_at: Mapping[str, ReadAt] = field(default_factory=dict)
    answers: Mapping[str, tuple[Answer, ...]] = field(default_factory=dict)
    hold_leads: bool = False

    @cached_property
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

    def sources(self, condition: str) -> Mapping[str, Feed]:
        """By net: the source that its current is drawn from in this condition.

        "" is the first source.
        """
        feeds = [feed for feed in self.feeds if feed.is_used_in(condition)]
        by_net = {feed.to: feed for feed in feeds}
        first = next((one for one in feeds if one.kind == SOURCE), NO_SOURCE)
        return {net: _source(net, by_net, first) for net in ("", *self.nets)}


def _source(net: str, by_net: Mapping[str, Feed], first: Feed) -> Feed:
    """Feed by feed upwards; what hangs on nothing counts as the first source's."""
    seen: set[str] = set()
    while net in by_net and net not in seen:
        if by_net[net].kind == SOURCE:
            return by_net[net]
        seen.add(net)
        net = by_net[net].supply
    return first


Told = TypeVar("Told")


def of_point(among: Mapping[str, Told], point_id: str) -> Told | None:
    """What is said of a point: by its id, without its number, or by its check."""
    check = point_id.partition("/")[0]
    keys = (point_id, point_id.rstrip(string.digits), check)
    return next((among[key] for key in keys if key in among), None)
