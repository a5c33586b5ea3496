"""What the office's pictures show, before they are drawn. PURE.

Values are plain numbers; ``n`` is what a figure was reckoned from and is always
shown. What is too young to judge is ``hollow``: drawn open and dashed. ``None``
is a gap.
"""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Part:
    """A piece of a bar; ``whose`` is a turn's code and gives its pattern."""

    whose: str  # "ours", "customer", "supplier", "handover"
    value: float


@dataclass(frozen=True)
class TurnBar:
    label: str
    parts: Sequence[Part]
    notes: Sequence[str] = ()  # columns at the right: mean, nine in ten, closed
    now: bool = False  # the newest, in bold


@dataclass(frozen=True)
class TurnBars:
    """Bars of days, stacked by whose turn, on one scale. ``heads`` are of ``notes``."""

    bars: Sequence[TurnBar]
    heads: Sequence[str] = ()


@dataclass(frozen=True)
class Step:
    """From ``at`` on the share is ``share``, between ``low`` and ``high`` (0 to 1)."""

    at: float
    share: float
    low: float
    high: float


@dataclass(frozen=True)
class Curve:
    label: str
    n: int
    steps: Sequence[Step]
    marks: Sequence[float] = ()  # where something is open still (censored)


@dataclass(frozen=True)
class Curves:
    """Shares over time as steps with their bands. ``unit`` is that of the time."""

    curves: Sequence[Curve]
    unit: str
    reads: Sequence[tuple[float, float]] = ()  # (time, share) told in the sentence


@dataclass(frozen=True)
class Dot:
    label: str
    value: float | None
    n: int
    hollow: bool = False
    out: bool = False  # beyond a control limit


@dataclass(frozen=True)
class Control:
    """A weekly trend between its limits; limits are ``None`` while too few."""

    dots: Sequence[Dot]
    unit: str
    centre: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True)
class Trend:
    label: str
    n: int
    dots: Sequence[Dot]


@dataclass(frozen=True)
class Trends:
    """Small pictures beside each other on one scale, with one reference line."""

    trends: Sequence[Trend]
    unit: str
    reference: float | None = None
    floor: float = 0.0
    ceiling: float = 100.0


@dataclass(frozen=True)
class Interval:
    label: str
    n: int
    value: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True)
class Intervals:
    """A value and its interval a row, on one scale from ``floor`` to ``ceiling``."""

    rows: Sequence[Interval]
    unit: str
    reference: float | None = None
    floor: float = 0.0
    ceiling: float = 100.0


@dataclass(frozen=True)
class Share:
    label: str
    part: float
    whole: float
    says: str  # "121 of 148 h"


@dataclass(frozen=True)
class Shares:
    """Bars that are filled in part: billed of logged, accepted of decided."""

    rows: Sequence[Share]


@dataclass(frozen=True)
class Tally:
    """One mark a ticket: ``rows`` by whose turn (code, label), ``cells`` counts."""

    heads: Sequence[str]
    rows: Sequence[tuple[str, str]]
    cells: Sequence[Sequence[int]]


@dataclass(frozen=True)
class Reliability:
    """What was said (0 to 100) against how often it was so, a dot a class."""

    said: Sequence[Dot]  # label is the class, value what came true
    at: Sequence[float]  # what was said on average in the class


Drawing = (
    TurnBars | Curves | Control | Trends | Intervals | Shares | Tally | Reliability
)
