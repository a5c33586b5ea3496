"""What the markings of chip resistors and inductors mean. PURE."""

from dataclasses import dataclass

from diagnostics.engine.calculators.shape import (
    Calculator,
    CalculatorError,
    Input,
    Kind,
    Output,
    calculation,
)
from diagnostics.engine.reasons import Reason, reason

E96_CODES = range(1, 97)
# Multiplier letters of the two-digit code (cp).
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


@dataclass(frozen=True)
class Marking:
    """The characters printed on the part."""

    text: str


@dataclass(frozen=True)
class MarkedOhms:
    """Ohms that the marking can mean: ``ohms``, and ``second`` where it is two."""

    ohms: float
    second: float | None
    reasons: tuple[Reason, ...]

    @property
    def all(self) -> tuple[float, ...]:
        return (self.ohms,) if self.second is None else (self.ohms, self.second)


@calculation
def marking(given: Marking) -> MarkedOhms:
    """Ohms of a marking; two where letters (IEC 60062) and E96 code differ.

    Raises ``CalculatorError``: ``unknown_marking`` (text, name).

    >>> marking(Marking("103")).all, marking(Marking("22R")).all
    ((10000.0,), (22.0, 1.65))
    """
    mark = given.text.strip().upper()
    by_system = {
        "marking_letter": _letter_mark(mark),
        "marking_digits": _digit_mark(mark),
        "marking_e96": _e96_mark(mark),
    }
    found = {code: ohms for code, ohms in by_system.items() if ohms is not None}
    if not found:
        raise CalculatorError("unknown_marking", text=given.text[:20], name="text")
    said = [_said(code, ohms) for code, ohms in found.items()]
    first, *others = dict.fromkeys(found.values())
    if others:
        said.append(reason("marking_ambiguous"))
    return MarkedOhms(first, next(iter(others), None), tuple(said))


def microhenries(text: str) -> float | None:
    """What the marking of an inductor means; ``None`` where it means nothing.

    R is the decimal mark, three digits end in a power of ten, fewer are as they stand.

    >>> [microhenries(one) for one in ("R22", "2R2", "1R0", "100", "10")]
    [0.22, 2.2, 1.0, 10.0, 10.0]
    """
    mark = text.strip().upper()
    if mark.isascii() and mark.isdigit() and len(mark) < 3:
        value: float | None = float(mark)
    else:
        value = _letter_mark(mark) or (_digit_mark(mark) if len(mark) == 3 else None)
    return value or None


def _said(code: str, ohms: float) -> Reason:
    return reason(code, ohms=ohms) if ohms else reason("marking_link")


def _letter_mark(mark: str) -> float | None:
    """R as the decimal mark: 4R7, R010, 22R."""
    whole, letter, part = mark.partition("R")
    digits = whole + part
    is_mark = letter and len(digits) <= 5 and digits.isascii() and digits.isdigit()
    return float(f"{whole or 0}.{part or 0}") if is_mark else None


def _digit_mark(mark: str) -> float | None:
    """Three or four digits, the last a power of ten; zeros are a link."""
    if not (mark.isascii() and mark.isdigit()) or len(mark) > 4:
        return None
    if not mark.strip("0"):
        return 0.0
    return float(f"{mark[:-1]}e{mark[-1]}") if len(mark) in {3, 4} else None


def _e96_mark(mark: str) -> float | None:
    """Two digits of the E96 series and a multiplier letter: 01C is 10.0 kohm."""
    number, letter = mark[:2], mark[2:]
    is_code = len(mark) == 3 and number.isascii() and number.isdigit()
    if not is_code or letter not in MULTIPLIERS or int(number) not in E96_CODES:
        return None
    base = round(100 * 10 ** ((int(number) - 1) / 96))
    return float(f"{base * MULTIPLIERS[letter]:.6g}")


CALCULATOR = Calculator(
    id="marking",
    name="Resistor marking",
    formula="three or four digits, R for the decimal mark, or two digits and a letter",
    given=Marking,
    work=marking,
    inputs=(
        Input("text", "Marking", kind=Kind.TEXT, help="Such as 103, 4R7, R010, 01C."),
    ),
    outputs=(
        Output("ohms", "Resistance", "ohm"),
        Output("second", "Or", "ohm"),
    ),
    serves=("k21", "k28"),
)
