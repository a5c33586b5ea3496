"""From what a picture shows to its shapes. PURE."""

from collections.abc import Callable, Mapping
from typing import Any

from shop.office.drawing.bars import shares, turn_bars
from shop.office.drawing.control import control
from shop.office.drawing.curves import curves
from shop.office.drawing.intervals import intervals
from shop.office.drawing.reliability import reliability
from shop.office.drawing.says import Says
from shop.office.drawing.shapes import Picture
from shop.office.drawing.tally import tally
from shop.office.drawing.trends import trends
from shop.office.drawings import (
    Control,
    Curves,
    Drawing,
    Intervals,
    Reliability,
    Shares,
    Tally,
    Trends,
    TurnBars,
)

# What is drawn into a column, and what into a phone's width.
WIDE, NARROW = 480.0, 288.0
Layout = Callable[[Any, float, Says], Picture]
LAYOUTS: Mapping[type, Layout] = {
    TurnBars: turn_bars,
    Curves: curves,
    Control: control,
    Trends: trends,
    Intervals: intervals,
    Shares: shares,
    Tally: tally,
    Reliability: reliability,
}


def drawn(drawing: Drawing, width: float, says: Says) -> Picture:
    return LAYOUTS[type(drawing)](drawing, width, says)
