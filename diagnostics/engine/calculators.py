"""Bench calculators: a frozen input, a frozen result, one function between. PURE.

Every quantity is SI. A result that means something says so by reasons (codes for
``diagnostics.words``). Formulas and judgements: domain brief, section 7.
"""

from dataclasses import dataclass

from diagnostics.engine.errors import EngineError
from diagnostics.engine.reasons import Reason, reason

# References seen in converters (common practice).
REFERENCES_SEEN = (0.5, 0.6, 0.7, 0.75, 0.8, 1.0, 2.0)
LANDS_WITHIN = 0.03  # of a known rail (judgement)
RIPPLE_WATCH = 0.03  # of the output (judgement)
COPPER_20C = 1.724138e-8  # ohm metre, 100 % IACS (IEC 60028)
COPPER_PER_KELVIN = 0.00393  # at 20 degrees C (IEC 60028)
E96_CODES = range(1, 97)
# Multiplier letters of the two-digit code (IEC 60062, common practice).
MULTIPLIERS = {
    "Z": 1e-3,
    "Y": 1e-2,
    "R": 1e-2,
    "X": 1e-1,
    "S": 1e-1,
    "A": 1.0,
    "B": 1e1,
    "H": 1e1,
    "C": 1e2,
    "D": 1e3,
    "E": 1e4,
    "F": 1e5,
}


class CalculatorError(EngineError):
    """An input with which a calculator cannot work."""


def _positive(**values: float) -> None:
    for name, value in values.items():
        if not value > 0:
            raise CalculatorError("must_be_positive", name=name)


# --- feedback divider ---------------------------------------------------------


@dataclass(frozen=True)
class Divider:
    """A converter's feedback divider: ohms above and below, volts of reference."""

    top_ohms: float
    bottom_ohms: float
    reference_volts: float
    resistor_tolerance: float = 0.0
    reference_tolerance: float = 0.0


@dataclass(frozen=True)
class DividerOutput:
    """Output volts, and the spread by corners of the tolerances."""

    volts: float
    low: float
    high: float


def divider(given: Divider) -> DividerOutput:
    """V = Vref (1 + Rtop/Rbottom); corners of both tolerances.

    >>> round(divider(Divider(10e3, 10e3, 0.6)).volts, 3)
    1.2
    """
    _positive(bottom_ohms=given.bottom_ohms, reference_volts=given.reference_volts)
    ratio = given.top_ohms / given.bottom_ohms
    t, r = given.resistor_tolerance, given.reference_tolerance
    lowest = given.reference_volts * (1 - r) * (1 + ratio * (1 - t) / (1 + t))
    highest = given.reference_volts * (1 + r) * (1 + ratio * (1 + t) / (1 - t))
    return DividerOutput(given.reference_volts * (1 + ratio), lowest, highest)


@dataclass(frozen=True)
class Landing:
    """A reference with which the divider lands on a rail's nominal volts."""

    reference_volts: float
    volts: float
    rail_volts: float


def landings(
    top_ohms: float, bottom_ohms: float, rail_volts: tuple[float, ...]
) -> tuple[Landing, ...]:
    """The usual references that land within 3 % (judgement) of a known rail."""
    found = []
    for reference in REFERENCES_SEEN:
        volts = divider(Divider(top_ohms, bottom_ohms, reference)).volts
        found += [
            Landing(reference, volts, rail)
            for rail in rail_volts
            if abs(volts - rail) <= LANDS_WITHIN * rail
        ]
    return tuple(found)


# --- resistor markings --------------------------------------------------------


def marking(text: str) -> tuple[float, ...]:
    """Ohms that an SMD resistor's marking can mean; two where it is ambiguous.

    Raises ``CalculatorError``: ``unknown_marking`` (text).

    >>> marking("103"), marking("4R7"), marking("01C"), marking("22R")
    ((10000.0,), (4.7,), (10000.0,), (22.0, 1.65))
    """
    mark = text.strip().upper()
    readings = (_letter_mark(mark), _digit_mark(mark), _e96_mark(mark))
    found = tuple(ohms for ohms in readings if ohms is not None)
    if not found:
        raise CalculatorError("unknown_marking", text=text[:20])
    return found


def _letter_mark(mark: str) -> float | None:
    """R as the decimal mark: 4R7, R010, 22R."""
    whole, letter, part = mark.partition("R")
    digits = whole + part
    is_mark = letter and digits.isascii() and digits.isdigit()
    return float(f"{whole or 0}.{part or 0}") if is_mark else None


def _digit_mark(mark: str) -> float | None:
    """Three or four digits, the last a power of ten; zeros are a link."""
    if not (mark.isascii() and mark.isdigit()):
        return None
    if not mark.strip("0"):
        return 0.0
    if len(mark) not in {3, 4}:
        return None
    return float(f"{mark[:-1]}e{mark[-1]}")


def _e96_mark(mark: str) -> float | None:
    """Two digits of the E96 series and a multiplier letter: 01C is 10.0 kohm."""
    number, letter = mark[:2], mark[2:]
    is_code = len(mark) == 3 and number.isascii() and number.isdigit()
    if not is_code or letter not in MULTIPLIERS or int(number) not in E96_CODES:
        return None
    base = round(100 * 10 ** ((int(number) - 1) / 96))
    return float(f"{base * MULTIPLIERS[letter]:.6g}")


# --- sense resistor -----------------------------------------------------------


@dataclass(frozen=True)
class Sensed:
    amperes: float
    watts: float


def sense(drop_volts: float, ohms: float) -> Sensed:
    """I = V/R and P = I V of a sense resistor.

    >>> sense(0.0185, 0.010)
    Sensed(amperes=1.85, watts=0.034225)
    """
    _positive(ohms=ohms)
    amperes = drop_volts / ohms
    return Sensed(round(amperes, 12), round(amperes * drop_volts, 12))


# --- step-down converter ------------------------------------------------------


@dataclass(frozen=True)
class Buck:
    """A step-down converter: volts, hertz, henry, and its output capacitor."""

    input_volts: float
    output_volts: float
    hertz: float
    henry: float
    farad: float
    esr_ohms: float = 0.0
    efficiency: float = 1.0


@dataclass(frozen=True)
class BuckRipple:
    """Duty (0 to 1), inductor ripple in amperes, output ripple in volts."""

    duty: float
    ripple_amperes: float
    ripple_volts: float
    reasons: tuple[Reason, ...]


def buck(given: Buck) -> BuckRipple:
    """D = Vout/(Vin eta); dI = (Vin-Vout) D/(f L); dV = dI (ESR + 1/(8 f C)).

    Formulas: TI SLVA477 equations 1, 2 and 12 (from memory).
    """
    _positive(
        output_volts=given.output_volts,
        hertz=given.hertz,
        henry=given.henry,
        farad=given.farad,
        efficiency=given.efficiency,
    )
    if given.input_volts <= given.output_volts:
        raise CalculatorError("input_below_output")
    duty = given.output_volts / (given.input_volts * given.efficiency)
    headroom = given.input_volts - given.output_volts
    amperes = headroom * duty / (given.hertz * given.henry)
    volts = amperes * (given.esr_ohms + 1 / (8 * given.hertz * given.farad))
    is_high = volts > RIPPLE_WATCH * given.output_volts
    said = (reason("ripple_high", ripple=volts, limit=RIPPLE_WATCH * 100, unit="V"),)
    return BuckRipple(duty, amperes, volts, said if is_high else ())


# --- copper -------------------------------------------------------------------


def copper_ohms(
    length_metres: float,
    width_metres: float,
    thickness_metres: float,
    celsius: float = 20.0,
) -> float:
    """Ohms of a copper trace (IEC 60028: 100 % IACS, 0.00393 a kelvin at 20 C)."""
    _positive(width=width_metres, thickness=thickness_metres)
    at_20 = COPPER_20C * length_metres / (width_metres * thickness_metres)
    return at_20 * (1 + COPPER_PER_KELVIN * (celsius - 20))
