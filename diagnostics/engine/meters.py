"""A meter's stated accuracy -> the standard uncertainty of a reading. PURE.

Accuracy is stated for each range as plus or minus (percent of reading + counts of
the last digit). That bound is the half-width of a rectangular distribution, so
u = a / sqrt(3) (JCGM 100:2008, 4.3.7).

3.300 V on a range that shows 1 mV, stated as 0.5 % + 2 counts, is good to
a = 16.5 mV + 2 mV = 18.5 mV, hence u = 10.7 mV:

>>> round(half_width(3.3, 0.5, 2, 0.001), 6)
0.0185
>>> round(standard_uncertainty(HANDHELD, "V", 3.3).u, 6)
0.010681
"""

from dataclasses import dataclass
from math import sqrt

from diagnostics.engine.errors import MeterError

FOUR_WIRE = "R4"  # ohms with separate leads for current and volts
# Counted or looked at, not measured: the number is what it is.
EXACT_MODES = frozenset({"E", "W", ""})


@dataclass(frozen=True)
class MeterRange:
    """One range of one mode: full scale and last digit in SI, percent of reading.

    ``mode`` is a check's mode, or ``R4`` for ohms by four wires.
    """

    mode: str
    full_scale: float
    percent: float
    counts: float
    digit: float


@dataclass(frozen=True)
class MeterSpec:
    """A meter: its ranges, and what diode mode feeds (amperes) and offers (volts)."""

    name: str
    ranges: tuple[MeterRange, ...]
    diode_amps: float = 1e-3
    diode_volts: float = 3.0


@dataclass(frozen=True)
class Uncertainty:
    """Standard uncertainty ``u`` and bound ``half_width``, SI; the range used."""

    u: float
    half_width: float
    mode: str
    full_scale: float | None


def _decades(
    mode: str, first: float, count: int, percent: float, counts: float
) -> tuple[MeterRange, ...]:
    """Ranges of 6000 counts, each ten times the one before."""
    scales = [first * 10.0**n for n in range(count)]
    return tuple(
        MeterRange(mode, scale, percent, counts, scale / 6000) for scale in scales
    )


# A usual handheld of 6000 counts, with a bench supply for current and for ohms by
# four wires. Judgement: an honest middle of what such meters state; a shop enters
# its own meters' figures.
HANDHELD = MeterSpec(
    name="handheld",
    ranges=(
        *_decades("V", 0.6, 4, 0.5, 2),
        *_decades("R", 600.0, 5, 0.9, 2),
        MeterRange("R", 60e6, 2.0, 5, 10e3),
        MeterRange("C", 600.0, 0.9, 3, 0.1),
        MeterRange("D", 3.0, 1.0, 2, 0.001),
        *_decades("I", 0.06, 4, 1.2, 2),
        *_decades("F", 60.0, 7, 0.1, 2),
        MeterRange("T", 1000.0, 2.0, 2, 1.0),
        MeterRange(FOUR_WIRE, 0.06, 2.0, 2, 1e-5),
        MeterRange(FOUR_WIRE, 60.0, 2.0, 2, 1e-4),
    ),
)


def standard_uncertainty(
    meter: MeterSpec,
    mode: str,
    value: float,
    digit: float | None = None,
    *,
    is_four_wire: bool = False,
) -> Uncertainty:
    """u = a / sqrt(3) of one reading, in the mode's SI unit.

    ``digit`` is the SI size of the last digit typed. Where it is coarser than the
    range's own, the counts are of that digit: the meter stood on a higher range,
    or the person rounded, and nobody knows which. Looking and counting (E, W)
    are exact. Raises ``MeterError``: ``no_range``, ``beyond_range``,
    ``no_accuracy`` (each with meter and mode).
    """
    if mode in EXACT_MODES:
        return Uncertainty(0.0, 0.0, mode, None)
    chosen = range_for(meter, mode, value, is_four_wire=is_four_wire)
    percent, counts = chosen.percent, chosen.counts
    if min(percent, counts) < 0 or percent + counts == 0:
        raise MeterError("no_accuracy", meter=meter.name, mode=mode)
    a = half_width(value, percent, counts, max(chosen.digit, digit or 0.0))
    return Uncertainty(a / sqrt(3), a, mode, chosen.full_scale)


def half_width(reading: float, percent: float, counts: float, digit: float) -> float:
    """The bound a = percent of the reading's size + counts of the last digit."""
    return abs(reading) * percent / 100 + counts * digit


def range_for(
    meter: MeterSpec, mode: str, value: float, *, is_four_wire: bool = False
) -> MeterRange:
    """The lowest range that shows the value.

    A meter without four-wire ranges reads such ohms on its own ohms ranges.
    Raises ``MeterError``: ``no_range``, ``beyond_range`` (with the value).
    """
    asked = FOUR_WIRE if is_four_wire and mode in {"R", "C"} else mode
    own = [one for one in meter.ranges if one.mode == asked]
    own = own or [one for one in meter.ranges if one.mode == mode]
    if not own:
        raise MeterError("no_range", meter=meter.name, mode=mode)
    holding = [one for one in own if abs(value) <= one.full_scale]
    if not holding:
        raise MeterError("beyond_range", meter=meter.name, mode=mode, value=value)
    return min(holding, key=lambda one: one.full_scale)
