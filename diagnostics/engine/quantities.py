"""What a person types at the bench -> a value in SI units. PURE.

A strict grammar of our own stands before pint, which misreads what people type
("3,28 V" as 328 V, a Unicode minus as plus, "100R" as the gas constant). Only
``quantity`` hands a number and a unit that are already known to pint.

    entry    = word | [sign] number [prefix] [unit] | [sign] mark [unit]
    word     = OL, climbing, can't reach, not fitted, and their usual spellings
    number   = digits with at most one decimal mark "." or ",", or an exponent
               (1e-3); groups of three digits where they can mean nothing else
    mark     = IEC 60062: 4k7, 3V3, 4R7, R010, 0R22: a letter for the decimal mark
    prefix   = p n u m k M G (SI, so case counts; K is taken as k)

A number without unit is in the check's own unit. One comma with three digits
behind it ("1,234") is refused where both readings of it could be true, and so is
a bare "1.234": a factor of a thousand is dearer than one more keystroke. Before
k, M and G the mark is taken as decimal, because a meter changes its prefix
before it shows a thousand.

>>> parse("3,28 V", "V").value
3.28
>>> parse("4k7", "ohm").value
4700.0
>>> parse("OL", "ohm").outcome.value
'ol'
"""

import re
import unicodedata
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from enum import StrEnum
from functools import cache
from math import isinf
from typing import TYPE_CHECKING

from diagnostics.engine.errors import TypedValueError
from diagnostics.engine.units import (
    FINEST,
    PHYSICAL,
    PLAIN_FROM,
    PREFIXES,
    SHOWN_PREFIXES,
    SIGNS,
    UNIT_OF,
)

if TYPE_CHECKING:
    import pint

LONGEST = 40


class Outcome(StrEnum):
    """What a reading came to: a value, or why there is none."""

    VALUE = "value"
    OVER_LIMIT = "ol"
    CLIMBING = "climbing"
    CANT_REACH = "cant_reach"
    NOT_FITTED = "not_fitted"
    CATEGORY = "category"


@dataclass(frozen=True)
class Typed:
    """A typed entry: its outcome and, for a value, the SI float and resolution.

    ``decimals`` are the digits typed behind the decimal mark; ``digit`` is the SI
    size of the last digit typed, which stands for the meter's counts: 0.41 V ->
    0.01, 410 mV -> 0.001, 4k7 -> 100.0.
    """

    text: str
    outcome: Outcome
    value: float | None
    decimals: int | None
    digit: float | None
    unit: str


WORDS = {
    Outcome.OVER_LIMIT: {
        *("ol", "0l", "o.l", "o.l.", "0.l", ".ol", "o l", "1 .", "open", "open loop"),
        *("open-loop", "over limit", "over-limit", "overlimit", "over range"),
        *("over-range", "overrange", "overload", "over load"),
    },
    Outcome.CLIMBING: {"climbing", "still climbing", "rising", "still rising", "~"},
    Outcome.CANT_REACH: {
        *("can't reach", "cant reach", "can not reach", "cannot reach", "no access"),
    },
    Outcome.NOT_FITTED: {"not fitted", "nf", "n/f", "dnf", "dnp", "not there"},
}
OUTCOME_OF = {word: outcome for outcome, words in WORDS.items() for word in words}

FOLDED = str.maketrans(
    {
        "\N{MINUS SIGN}": "-",
        "\N{EN DASH}": "-",
        "\N{HYPHEN}": "-",
        "\N{NON-BREAKING HYPHEN}": "-",
        "\N{MICRO SIGN}": "u",
        "\N{GREEK SMALL LETTER MU}": "u",
        "\N{OHM SIGN}": "ohm",
        "\N{GREEK CAPITAL LETTER OMEGA}": "ohm",
        "\N{KELVIN SIGN}": "K",
        "\N{DEGREE CELSIUS}": "\N{DEGREE SIGN}C",
        "\N{RIGHT SINGLE QUOTATION MARK}": "'",
        "\t": " ",
    }
)
UNIT_PART = r"(?P<rest>[A-Za-z%\u00b0]+(?: [A-Za-z\u00b0]+){0,2})?"
PLAIN = re.compile(
    r"(?P<sign>[+-]?) ?(?P<number>[0-9][0-9.,' ]*|[.,][0-9]+)"
    r"(?P<exponent>[eE][+-]?[0-9]{1,2})? ?" + UNIT_PART
)
MARK = re.compile(
    r"(?P<sign>[+-]?) ?(?P<whole>[0-9]*)(?P<letter>[pnumkKMGRrVvA])(?P<part>[0-9]+) ?"
    + UNIT_PART
)
# Groups of three that can't be a decimal fraction: spaces or apostrophes, one
# mark twice, or two different marks.
GROUPED = re.compile(
    r"[0-9]{1,3}(?:(?: [0-9]{3})+|(?:'[0-9]{3})+)(?:[.,][0-9]+)?"
    r"|[0-9]{1,3}(?:(?:,[0-9]{3}){2,}(?:\.[0-9]+)?|(?:\.[0-9]{3}){2,}(?:,[0-9]+)?)"
    r"|[0-9]{1,3}(?:,[0-9]{3}\.[0-9]+|\.[0-9]{3},[0-9]+)"
)
DECIMAL = re.compile(r"[0-9]*[.,]?[0-9]+")
GROUP_OR_FRACTION = re.compile(r"[1-9][0-9]{0,2}(?P<mark>[.,])[0-9]{3}")


def parse(text: str, unit: str) -> Typed:
    """Read what was typed for a check in ``unit``; a bare number is in ``unit``.

    Raises ``TypedValueError``: ``empty``, ``too_long`` (longest), ``not_a_value``,
    ``foreign_digits``, ``wrong_dimension`` (expected, got, typed),
    ``ambiguous_separator``, ``negative_ohms`` or ``out_of_range`` (value, unit).
    """
    typed = _cleaned(text)
    outcome = _outcome(typed)
    if outcome is not None:
        return Typed(text.strip(), outcome, None, None, None, unit)
    if unit not in PHYSICAL:
        raise TypedValueError("not_a_value")
    number, power, given = _parts(typed, unit)
    if given not in {None, unit}:
        raise TypedValueError(
            "wrong_dimension", expected=unit, got=given, typed=text.strip()
        )
    value = float(number.scaleb(power))
    _check_physical(value, unit)
    decimals = -_last_place(number)
    digit = float(Decimal(1).scaleb(power - decimals))
    return Typed(text.strip(), Outcome.VALUE, value, decimals, digit, unit)


def _cleaned(text: str) -> str:
    """Folded to the grammar's own characters, with single spaces."""
    if len(text) > LONGEST:
        raise TypedValueError("too_long", longest=LONGEST)
    folded = text.strip().translate(FOLDED)
    spaced = (" " if unicodedata.category(c) == "Zs" else c for c in folded)
    typed = re.sub(r" {2,}", " ", "".join(spaced))
    if not typed:
        raise TypedValueError("empty")
    if any(unicodedata.category(c) == "Nd" and not c.isascii() for c in typed):
        raise TypedValueError("foreign_digits")
    return typed


def _outcome(typed: str) -> Outcome | None:
    """A word instead of a value; a meter shows OL with its unit: "OL kΩ"."""
    said = OUTCOME_OF.get(typed.lower())
    if said is not None:
        return said
    word, _space, rest = typed.partition(" ")
    is_over = OUTCOME_OF.get(word.lower()) is Outcome.OVER_LIMIT
    return Outcome.OVER_LIMIT if is_over and _unit_of(rest, "") else None


def _parts(typed: str, wanted: str) -> tuple[Decimal, int, str | None]:
    """The signed number as typed, its power of ten, and the unit if one was typed."""
    marked = MARK.fullmatch(typed)
    if marked:
        return _of_mark(marked, wanted)
    plain = PLAIN.fullmatch(typed)
    if plain is None:
        raise TypedValueError("not_a_value")
    prefix, unit = _prefix_and_unit(plain["rest"], wanted)
    power = PREFIXES[prefix] + int((plain["exponent"] or "e0")[1:])
    number = _number(plain["number"].rstrip())
    if _may_be_thousands(plain, power, wanted):
        raise TypedValueError("ambiguous_separator")
    return _signed(plain, number), power, unit


def _of_mark(marked: "re.Match[str]", wanted: str) -> tuple[Decimal, int, str | None]:
    """IEC 60062: 4k7 = 4.7 k, R010 = 0.010, 3V3 = 3.3 V, 4R7 = 4.7 ohm."""
    number = _signed(marked, Decimal(f"{marked['whole'] or 0}.{marked['part']}"))
    letter, rest = marked["letter"], marked["rest"]
    prefix, unit = _prefix_and_unit(letter, wanted)
    if rest is None:
        return number, PREFIXES[prefix], unit
    second, unit_behind = _prefix_and_unit(rest, wanted)
    if second or unit not in {None, unit_behind}:
        raise TypedValueError("not_a_value")
    return number, PREFIXES[prefix], unit_behind


def _number(digits: str) -> Decimal:
    """The digits as a number: plain, or in groups that can mean nothing else."""
    if DECIMAL.fullmatch(digits):
        return Decimal(digits.replace(",", "."))
    if not GROUPED.fullmatch(digits):
        raise TypedValueError("not_a_value")
    marks = [c for c in digits if not c.isdigit()]
    is_grouped_only = len(set(marks)) == 1 and (len(marks) > 1 or marks[0] in " '")
    whole, mark, part = (
        (digits, "", "") if is_grouped_only else digits.rpartition(marks[-1])
    )
    return Decimal(re.sub(r"[^0-9]", "", whole) + (mark and f".{part}"))


def _may_be_thousands(plain: "re.Match[str]", power: int, wanted: str) -> bool:
    """Could "1,234" mean 1234 here? Under a thousand of k, M or G it couldn't."""
    found = GROUP_OR_FRACTION.fullmatch(plain["number"].rstrip())
    if not found or plain["exponent"] or power > 0:
        return False
    if found["mark"] == "." and (plain["rest"] or wanted == "1"):
        return False
    grouped = float(re.sub(r"[.,]", "", found[0])) * 10.0**power
    return grouped <= PHYSICAL[wanted][1]


def _signed(match: "re.Match[str]", number: Decimal) -> Decimal:
    """Decimal's own minus leaves nought without a sign."""
    return -number if match["sign"] == "-" else number


def _prefix_and_unit(rest: str | None, wanted: str) -> tuple[str, str | None]:
    """Split "mV" into prefix and unit; raises ``not_a_value`` for neither."""
    if rest is None:
        return "", None
    found = _unit_of(rest, wanted)
    if found is None:
        raise TypedValueError("not_a_value")
    prefix, unit = found
    if PREFIXES[prefix] < 0 and (unit or wanted) == "Hz":
        raise TypedValueError("not_a_value")
    return found


def _unit_of(rest: str, wanted: str) -> tuple[str, str | None] | None:
    """Prefix and unit; "K" alone is kilo, unless kelvins are asked for."""
    joined = rest.replace(" ", "")
    if joined in PREFIXES and UNIT_OF.get(joined) != wanted:
        return joined, None
    for prefix, name in (("", joined), (joined[:1], joined[1:])):
        unit = UNIT_OF.get(name if len(name) == 1 else name.lower())
        if unit is not None and prefix in PREFIXES:
            return prefix, unit
    return None


def _last_place(number: Decimal) -> int:
    """The power of ten of the last digit, at most 0: 0.41 -> -2, 1200 -> 0."""
    exponent = number.as_tuple().exponent
    assert isinstance(exponent, int)  # the grammar has no infinities
    return min(0, exponent)


def _check_physical(value: float, unit: str) -> None:
    low, high = PHYSICAL[unit]
    if unit == "ohm" and value < 0:
        raise TypedValueError("negative_ohms", value=value)
    if not low <= value <= high:
        raise TypedValueError("out_of_range", value=value, unit=unit)


def show(value: float, unit: str, digit: float | None = None) -> str:
    """A value as a person reads it, with a no-break space before the unit.

    ``digit`` is the SI size of the last digit worth showing; without it four
    figures are shown. What is shown can be typed again and is read as the same
    value within half its last digit. Endless ohms are shown as OL.

    >>> show(0.0123, "V", 0.0001).replace("\\N{NO-BREAK SPACE}", " ")
    '12.3 mV'
    >>> show(4700.0, "ohm").replace("\\N{NO-BREAK SPACE}", " ")
    '4.7 kΩ'
    """
    if isinf(value):
        return "OL"
    exact = Decimal(repr(float(value)))
    last = _last_shown(exact, digit)
    rounded = round_to(exact, last)
    prefix = _prefix_for(rounded, unit, last if digit else FINEST)
    number = rounded.scaleb(-PREFIXES[prefix])
    shown = f"{number:.{max(0, PREFIXES[prefix] - last)}f}"
    if not digit and "." in shown:
        shown = shown.rstrip("0").rstrip(".")
    written = shown.replace("-", "\N{MINUS SIGN}")
    mark = f"{prefix.replace('u', chr(0xB5))}{SIGNS.get(unit, unit)}"
    return f"{written}\N{NO-BREAK SPACE}{mark}" if mark else written


def _last_shown(exact: Decimal, digit: float | None) -> int:
    """The power of ten of the last digit shown."""
    if digit:
        return Decimal(repr(digit)).adjusted()
    return max(FINEST, exact.adjusted() - 3)


def round_to(exact: Decimal, last: int) -> Decimal:
    """Rounded at a power of ten; nought without a sign.

    >>> round_to(Decimal("2.725"), -2)
    Decimal('2.72')
    """
    rounded = exact.scaleb(-last).to_integral_value(ROUND_HALF_EVEN)
    return rounded.scaleb(last) if rounded else Decimal(0)


def round_up(value: float, digit: float) -> float:
    """Away from nought to the next ``digit``: an error is never shown too small.

    >>> round_up(0.0041, 0.001)
    0.005
    """
    last = Decimal(repr(digit)).adjusted()
    scaled = Decimal(f"{value:.12g}").scaleb(-last)  # without a float's dust
    way = ROUND_CEILING if value > 0 else ROUND_FLOOR
    return float(scaled.to_integral_value(way).scaleb(last))


def _prefix_for(rounded: Decimal, unit: str, last: int) -> str:
    """The prefix that leaves a number below 1000 and no invented digit."""
    allowed = SHOWN_PREFIXES.get(unit, ("",))
    size = abs(rounded)
    if not size or size >= PLAIN_FROM.get(unit, 1):
        allowed = tuple(one for one in allowed if PREFIXES[one] >= 0)
    honest = [one for one in allowed if PREFIXES[one] >= last] or [allowed[-1]]
    fitting = [one for one in honest if size >= Decimal(1).scaleb(PREFIXES[one])]
    return fitting[-1] if fitting else honest[0]


def quantity(typed: Typed) -> "pint.Quantity[float]":
    """The typed value as a pint quantity in its SI unit.

    Raises ``TypedValueError``: ``not_a_value`` for an entry without a value.
    """
    if typed.value is None:
        raise TypedValueError("not_a_value")
    names = {"K": "kelvin", "%": "percent", "1": "dimensionless"}
    made: pint.Quantity[float] = _registry().Quantity(
        typed.value, names.get(typed.unit, typed.unit)
    )
    return made


@cache
def _registry() -> "pint.UnitRegistry[float]":
    import pint  # noqa: PLC0415  0.3 s that a page without quantities never needs

    return pint.UnitRegistry()
