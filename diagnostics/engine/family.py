"""What a board family is made of: frozen shapes, no behaviour beyond look-ups. PURE.

All quantities are SI: volts, ohms, minutes. Names and other texts are message ids.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from diagnostics.engine.circuit.parts import Circuit

Span = tuple[float | None, float | None]


@dataclass(frozen=True)
class Stage:
    """One of the stages from the input to the core, in order."""

    id: str
    name: str


@dataclass(frozen=True)
class Ohms:
    """Ohms to ground, unpowered: usual from, watch below, short below.

    ``without`` is what must be out of the board besides adapter and pack.
    """

    ok_from: float
    watch_below: float
    short_below: float
    needs_four_wire: bool
    basis: str
    without: tuple[str, ...] = ()


@dataclass(frozen=True)
class Rail:
    """A supply net. ``low`` and ``high`` are volts: limits, or the usual range
    where the voltage ``is_commanded``. ``usual`` lies inside the limits. A rail
    that ``is_linked`` hangs on its first need by a bead or link. With something in
    the board other ohms count (``ohms_with``, ``diode_with``); without what is in
    ``up_with`` it is rightly off, and one that ``may_be_absent`` may rightly read
    nothing at all.
    """

    id: str
    name: str
    stage: str
    source_block: str
    needs: tuple[str, ...]
    starts_after: tuple[str, ...]
    is_linked: bool
    enable: str
    power_good: str
    up_in: tuple[str, ...]
    low: float
    high: float
    usual: Span | None
    is_commanded: bool
    nominal: float | None
    basis: str
    source: str
    ohms: Ohms | None
    diode: tuple[float, float] | None
    ol_is_usual: bool
    where: str
    trap: str
    ohms_with: Mapping[str, Ohms] = field(default_factory=dict)
    diode_with: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    up_with: tuple[str, ...] = ()
    may_be_absent: bool = False
    was: tuple[str, ...] = ()

    def ohms_in(self, fitted: Collection[str]) -> Ohms | None:
        """The ohms that count with this in the board."""
        return _with(self.ohms_with, fitted, self.ohms)

    def diode_in(self, fitted: Collection[str]) -> tuple[float, float] | None:
        """The diode band that counts with this in the board."""
        return _with(self.diode_with, fitted, self.diode)


Figures = TypeVar("Figures", Ohms | None, tuple[float, float] | None)


def _with(
    among: Mapping[str, Figures], fitted: Collection[str], plain: Figures
) -> Figures:
    return next((own for what, own in among.items() if what in fitted), plain)


@dataclass(frozen=True)
class Signal:
    """A line that is no rail, but that rails wait for.

    ``rests_at`` are the volts there while it says no and its first need is there:
    a line that is pulled up, or a plug before its contract. Else that is 0 V.
    """

    id: str
    name: str
    stage: str
    needs: tuple[str, ...]
    starts_after: tuple[str, ...] = ()
    rests_at: float | None = None
    was: tuple[str, ...] = ()


@dataclass(frozen=True)
class Block:
    """A part of the board that makes rails and signals and may hold the fault."""

    id: str
    stage: str
    makes: tuple[str, ...]
    needs: tuple[str, ...]
    is_on_top: bool = False


@dataclass(frozen=True)
class PartMode:
    """One way of failing. ``rails`` are all hit, of ``one_of`` it is unknown which.

    ``between`` are the pairs of rails of which a bridge joins one; ``opens`` is
    the pair that the part no longer joins.
    """

    id: str
    name: str
    weight: float
    effect: str
    rails: tuple[str, ...] = ()
    one_of: tuple[str, ...] = ()
    between: tuple[tuple[str, str], ...] = ()
    opens: tuple[str, str] | None = None

    @property
    def rail(self) -> str | None:
        """The first rail or signal that this failure touches."""
        return next(iter(self.touches), None)

    @property
    def touches(self) -> tuple[str, ...]:
        """Every rail and signal that this failure may change by itself."""
        joined = tuple(rail for pair in self.between for rail in pair)
        ends = self.opens or ()
        return tuple(dict.fromkeys((*self.rails, *self.one_of, *joined, *ends)))


@dataclass(frozen=True)
class Part:
    """A part that fails; ``minutes`` are (from, to) to confirm and replace.

    A part that ``locks_disk``, changed or rewritten, may lock an encrypted disk.
    """

    id: str
    name: str
    block: str
    modes: tuple[PartMode, ...]
    minutes: tuple[float, float]
    cost_class: str
    risk: str
    repair: str
    locks_disk: bool = False
    was: tuple[str, ...] = ()


@dataclass(frozen=True)
class Expect:
    """What a check should read where no rail says it; ``None`` leaves a side open."""

    limit: Span | None
    usual: Span | None
    needs_four_wire: bool
    is_of_leads: bool
    ol_is_usual: bool
    basis: str
    source: str


@dataclass(frozen=True)
class Point:
    """Where a check is taken: to ground on a rail or signal, or across a pair.

    ``rail`` is set only where the rail's own figures or its place count; ``unit``
    is the SI unit of what is typed there.
    """

    id: str
    check: str
    label: str
    unit: str
    rail: str | None = None
    signal: str | None = None
    pair: tuple[str, str] | None = None
    where: str = ""
    polarity: str = "red_on_point"
    expect: Expect | None = None
    was: tuple[str, ...] = ()


@dataclass(frozen=True)
class Check:
    """One kind of measurement. ``gates`` must have passed, ``needs`` come before.

    ``categories`` map an answer to its verdict word; ``patterns`` a kind of
    course to its word, "" where the value decides. ``opens`` are the pairs that the
    parts lifted for it no longer join. ``by_arithmetic``: a gate that may pass from
    the ohms of its two rails alone. ``alike`` is how far its points may lie apart;
    ``walk_after`` the check that it follows in the walk of its stage; ``blames``
    how many times likelier an answer makes the faults of a block.
    """

    id: str
    name: str
    stage: str
    mode: str
    condition: str
    form: str
    unit: str
    points: tuple[Point, ...]
    minutes: float
    risk: str
    cautions: tuple[str, ...]
    needs: tuple[str, ...]
    gates: tuple[str, ...]
    opens: tuple[tuple[str, str], ...]
    categories: Mapping[str, str]
    patterns: Mapping[str, str]
    pass_tells: str
    fail_tells: str
    by_arithmetic: bool
    is_on_request: bool
    alike: float | None = None
    walk_after: str = ""
    blames: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    was: tuple[str, ...] = ()

    @property
    def is_powered(self) -> bool:
        return self.condition in POWERED


@dataclass(frozen=True)
class Family:
    """A family as read: everything by id, stages and walks in order.

    ``hash`` is that of its ``texts``, by which two families are told apart;
    ``patched`` are a board model's changes as one text.
    """

    id: str
    name: str
    version: int
    hash: str
    stages: tuple[Stage, ...]
    rails: Mapping[str, Rail]
    signals: Mapping[str, Signal]
    blocks: Mapping[str, Block]
    parts: Mapping[str, Part]
    checks: Mapping[str, Check]
    walks: Mapping[str, tuple[str, ...]]
    power_gates: tuple[str, ...]
    not_fitted: frozenset[str]
    circuit: Circuit | None
    texts: Mapping[str, str] = field(repr=False, compare=False)
    patched: str = ""

    @property
    def points(self) -> Mapping[str, Point]:
        return {p.id: p for check in self.checks.values() for p in check.points}


POWERED = frozenset("ABRS")
"""Conditions with power on the board: adapter in, button, running, asleep."""

STATE_OF = {"U": "G3", "J": "G3", "A": "S5", "B": "S0", "R": "S0", "S": "S3"}
"""The ACPI power state of each condition."""

UNIT_OF_MODE = {
    "V": "V",
    "D": "V",
    "R": "ohm",
    "C": "ohm",
    "I": "A",
    "F": "Hz",
    "T": "K",
    "E": "",
    "W": "",
}
"""What a meter mode reads; looking and digital readings are answers."""
