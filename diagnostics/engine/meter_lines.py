"""A meter's accuracy as its manual prints it, line by line, and as ranges. PURE.

A manual gives one line for several ranges: "DC volts, 600 mV to 600 V, 0.5 % + 2,
6000 counts". The last digit of a range is its full scale over the counts shown.

>>> line = AccuracyLine("V", (0.6, 6.0), 0.5, 2, 6000)
>>> [round(one.digit, 6) for one in ranges_of([line])]
[0.0001, 0.001]
>>> lines_of(ranges_of([line])) == (line,)
True
"""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from diagnostics.engine.errors import MeterError
from diagnostics.engine.meters import MeterRange

UNIT_OF_MODE = {
    "V": "V",
    "R": "ohm",
    "R4": "ohm",
    "C": "ohm",
    "D": "V",
    "I": "A",
    "F": "Hz",
    "T": "K",
}


@dataclass(frozen=True)
class AccuracyLine:
    """Ranges of one mode with one accuracy: percent of reading, counts, counts shown.

    ``full_scales`` are SI, ``shown`` is the highest count of the display.
    """

    mode: str
    full_scales: tuple[float, ...]
    percent: float
    counts: float
    shown: int


def ranges_of(lines: Iterable[AccuracyLine]) -> tuple[MeterRange, ...]:
    """Every range of the lines, in their order.

    Raises ``MeterError``: ``unknown_mode``, ``line_without_accuracy``,
    ``no_full_scale`` (each with mode).
    """
    return tuple(
        MeterRange(line.mode, scale, line.percent, line.counts, scale / line.shown)
        for line in map(_sound, lines)
        for scale in line.full_scales
    )


def _sound(line: AccuracyLine) -> AccuracyLine:
    if line.mode not in UNIT_OF_MODE:
        raise MeterError("unknown_mode", mode=line.mode)
    if min(line.percent, line.counts) < 0 or line.percent + line.counts == 0:
        raise MeterError("line_without_accuracy", mode=line.mode)
    if line.shown < 1 or not line.full_scales or min(line.full_scales) <= 0:
        raise MeterError("no_full_scale", mode=line.mode)
    return line


def lines_of(ranges: Iterable[MeterRange]) -> tuple[AccuracyLine, ...]:
    """The ranges, those with one accuracy on one line."""
    return tuple(
        AccuracyLine(
            mode, tuple(one.full_scale for one in alike), percent, counts, shown
        )
        for (mode, percent, counts, shown), alike in groupby(ranges, _accuracy_of)
    )


def _accuracy_of(one: MeterRange) -> tuple[str, float, float, int]:
    return one.mode, one.percent, one.counts, round(one.full_scale / one.digit)
