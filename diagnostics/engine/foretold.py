"""What word a value will get, worked out before it is read. PURE.

A tablet shows the word of a reading at the tap, while the reading is on its way. It
judges nothing itself: it looks the value up in stretches that were made here by the
same ``judge`` which decides later. Between two stretches, and for digits coarser than
any that were asked for, nothing is foretold.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from math import floor, inf, isfinite, log10

from diagnostics.engine.errors import MeterError
from diagnostics.engine.meters import (
    MeterRange,
    MeterSpec,
    range_for,
    standard_uncertainty,
)
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.taken import LEADS_MATTER_BELOW_OHMS
from diagnostics.engine.units import PHYSICAL
from diagnostics.engine.verdicts import judge
from diagnostics.engine.yardsticks import NO_VOLTS, Observed, Word, Yardstick

# How many decades a figure is typed to at least, and how far under the largest figure
# that decides the coarsest lies: ohms well above it are typed short, such as 62k.
DECADES, COARSEST, COARSEST_OHMS = 3, 1, 0
CLOSE = 5e-4  # as near as the end of a stretch is looked for, in its own size
BESIDE = 1e-9
MOST_HALVINGS = 24

WordOf = Callable[[float], str]


@dataclass(frozen=True)
class Stretch:
    """Values from ``low`` to ``high``, both in SI and both in it, of one ``word``."""

    low: float
    high: float
    word: str


@dataclass(frozen=True)
class Foretold:
    """Stretches by the size of the last digit that is typed, finest first.

    What holds for a digit holds for every finer one, but for "unclear". ``over_limit``
    is the word of OL.
    """

    by_digit: tuple[tuple[float, tuple[Stretch, ...]], ...]
    over_limit: str

    def word(self, value: float, digit: float) -> str:
        """The word of a value; "" where none is sure.

        >>> Foretold(((0.01, (Stretch(0, 1, "bad"),)),), "bad").word(0.41, 0.01)
        'bad'
        """
        for coarsest, stretches in self.by_digit:
            if digit <= coarsest * (1 + BESIDE):
                here = (one.word for one in stretches if one.low <= value <= one.high)
                word = next(here, "")
                is_same = digit >= coarsest * (1 - BESIDE)
                return word if is_same or word != Word.UNCLEAR else ""
        return ""

    def without(self, *words: str) -> "Foretold":
        """The same, where those words hang on more than the value."""
        return Foretold(
            tuple(
                (digit, tuple(one for one in stretches if one.word not in words))
                for digit, stretches in self.by_digit
            ),
            "" if self.over_limit in words else self.over_limit,
        )


@lru_cache(maxsize=4096)
def foretold(seen: Observed, yardstick: Yardstick, meter: MeterSpec) -> Foretold:
    """The words of all values that may be read as ``seen`` was, but for its value."""
    marks = _marks(seen, yardstick, meter)
    over = judge(replace(seen, outcome=Outcome.OVER_LIMIT, value=None), yardstick)
    return Foretold(
        tuple(
            (digit, tuple(_stretches(_word_of(seen, yardstick, meter, digit), marks)))
            for digit in _digits(seen, yardstick, meter)
        ),
        over.word.value,
    )


def _word_of(
    seen: Observed, yardstick: Yardstick, meter: MeterSpec, digit: float
) -> WordOf:
    def word(value: float) -> str:
        try:
            u = standard_uncertainty(
                meter, seen.mode, value, digit, is_four_wire=seen.four_wire
            ).u
        except MeterError:
            return ""
        taken = replace(seen, outcome=Outcome.VALUE, value=value, u=u)
        return judge(taken, yardstick).word.value

    return word


def _decide(yardstick: Yardstick) -> Iterator[float]:
    for one in (
        yardstick.limit_low,
        yardstick.limit_high,
        yardstick.usual_low,
        yardstick.usual_high,
        yardstick.watch_low,
        yardstick.good_from,
    ):
        if one is not None:
            yield one


def _digits(seen: Observed, yardstick: Yardstick, meter: MeterSpec) -> list[float]:
    """Sizes of a last digit, decade by decade; none where no figure decides.

    The finest is what the meter shows at the smallest figure.
    """
    sizes = [abs(one) for one in _decide(yardstick) if one]
    if not sizes:
        return []
    first = floor(log10(_shown_at(min(sizes), seen, meter)))
    under = COARSEST_OHMS if yardstick.unit == "ohm" else COARSEST
    last = max(first + DECADES - 1, floor(log10(max(sizes))) - under)
    return [10.0**power for power in range(first, last + 1)]


def _shown_at(size: float, seen: Observed, meter: MeterSpec) -> float:
    try:
        chosen = range_for(meter, seen.mode, size, is_four_wire=seen.four_wire)
    except MeterError:  # counted, or of a meter that reads no such thing
        return size * 10.0**-DECADES
    return chosen.digit


def _ranges(seen: Observed, meter: MeterSpec) -> list[MeterRange]:
    """Those that such a value may be read on: ohms by four wires begin with R too."""
    return [one for one in meter.ranges if one.mode[:1] == seen.mode[:1]]


def _marks(seen: Observed, yardstick: Yardstick, meter: MeterSpec) -> list[float]:
    """Where the word may change, a little to each side of it, and halfway between.

    The figures of the yardstick with the leads' ohms, the ends of the meter's ranges,
    the constants that judging knows, and the ends of what is physical.
    """
    least, most = PHYSICAL.get(yardstick.unit, (-inf, inf))
    leads, figures = seen.lead_ohms or 0.0, set(_decide(yardstick))
    ends = figures | {one + leads for one in figures} | {0.0, least, most}
    ends |= {leads + 2 * seen.lead_spread, LEADS_MATTER_BELOW_OHMS, NO_VOLTS, -NO_VOLTS}
    scales = {one.full_scale for one in _ranges(seen, meter)}
    ends |= scales | {-one for one in scales}
    kept = sorted(one for one in ends if isfinite(one) and least <= one <= most)
    near = (one * (1 + side * BESIDE) for one in kept for side in (-1, 0, 1))
    halfway = ((low + high) / 2 for low, high in pairwise(kept))
    return sorted({one for one in (*near, *halfway) if least <= one <= most})


def _stretches(word_of: WordOf, marks: Sequence[float]) -> Iterator[Stretch]:
    """Marks of one word joined; between two words each goes as far as it is sure."""
    words = [(one, word_of(one)) for one in marks]
    low, word = words[0]
    for (here, _), (there, next_word) in pairwise(words):
        if word == next_word:
            continue
        last, first = _parting(word_of, here, there, word, next_word)
        if word:
            yield Stretch(low, last, word)
        low, word = first, next_word
    if word:
        yield Stretch(low, words[-1][0], word)


def _parting(
    word_of: WordOf, low: float, high: float, word: str, next_word: str
) -> tuple[float, float]:
    """The last value that surely has a word, and the first that has the next."""
    for _ in range(MOST_HALVINGS):
        if high - low <= CLOSE * min(abs(low), abs(high)):
            break
        middle = (low + high) / 2
        found = word_of(middle)
        if found == word:
            low = middle
        elif found == next_word:
            high = middle
        else:
            break
    return low, high
