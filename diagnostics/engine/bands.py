"""What the good boards of one model read at one point, as a yardstick. PURE.

The readings are of one board model, point, condition, polarity and fitted set, one
of each board, of boards that stayed good there: the caller sees to that. Two bands
come out, both two-sided:

*predictive*: where the next good board reads, with the named coverage. Mean and
variance are unknown; the family's range says beforehand what is likely (a
conjugate normal model with a normal-inverse-gamma prior; Gelman et al., Bayesian
Data Analysis, 3rd ed., 3.3). The median stands for the mean, and the squares are
about it, so that one odd board widens the band but doesn't move it (domain: "a
robust middle"). The meters' own errors add in quadrature, so that no band is
narrower than the meter.

*tolerance*, from three boards on: an interval that holds at least the named share
of all good boards with the named confidence. It asks no family. It keeps to mean
and standard deviation, for which its factor is exact; about the median its
confidence would not be the one it names.

One or two boards give a predictive band, but it must turn no verdict
(``decides``). Odd boards are flagged by the modified z-score and never dropped.

Ohms are reckoned as natural logarithms, since they spread by factors; everything
else as it is. Three good boards, the family knowing only that ohms differ:

>>> band = band_of([Good(1, 41e3), Good(2, 48e3), Good(3, 44e3)], "ohm")
>>> [round(end / 1e3) for end in (band.predictive.low, band.predictive.high)]
[29, 68]
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import exp, fsum, hypot, log, sqrt
from statistics import median

from diagnostics.engine.tolerance import CONFIDENCE, COVERAGE, two_sided_factor
from diagnostics.engine.yardsticks import BOARDS_FOR_A_BAND, Yardstick

# How far boards of one model lie apart, as a standard deviation. Ohms: two meters
# differ by 10 to 30 % on silicon nets (common practice), so 0.20 of a natural
# logarithm. The others are judgement, shares of the nominal value: regulated
# volts; a junction's drop, which also moves with the meter's current; the current
# that a board draws, which moves with all that is fitted.
OHMS_LOG_SD = 0.20
VOLTS_SHARE = 0.01
JUNCTION_SHARE = 0.05
SHARES = {"V": VOLTS_SHARE, "A": 0.20}
OTHER_SHARE = 0.05
# As much trust in that as four boards would earn (judgement).
SD_WEIGHT = 4.0
# Nothing at a bench shows less; a logarithm needs an end (judgement).
LEAST_OHMS = 1e-3
LARGEST_LOG = 700.0  # a float ends at e^709; such a band holds everything anyway
Z_95 = 1.959963984540054  # NIST/SEMATECH e-Handbook 1.3.6.7.1
# Iglewicz & Hoaglin, How to Detect and Handle Outliers (1993): 0.6745, and 3.5.
CONSISTENT = 0.6745
ODD_BEYOND = 3.5


class Scale(StrEnum):
    """How values are reckoned with: as natural logarithms, or as they are."""

    LOG = "log"
    LINEAR = "linear"

    @classmethod
    def of_unit(cls, unit: str) -> "Scale":
        return cls.LOG if unit == "ohm" else cls.LINEAR

    def taken(self, value: float) -> float:
        """From the unit onto the scale."""
        return log(max(value, LEAST_OHMS)) if self is Scale.LOG else value

    def given(self, value: float) -> float:
        """From the scale back into the unit."""
        return exp(min(value, LARGEST_LOG)) if self is Scale.LOG else value


@dataclass(frozen=True)
class Good:
    """A good board's reading: SI value, net of leads, and its standard uncertainty."""

    board: int
    value: float
    u: float = 0.0


@dataclass(frozen=True)
class Prior:
    """What is believed of a model before its first board, on the band's scale.

    ``mean`` and ``sd`` of its boards; ``mean_weight`` (kappa) and ``sd_weight``
    (nu) say as how many boards' worth: kappa 0 knows nothing of the mean.
    """

    mean: float
    sd: float
    mean_weight: float = 0.0
    sd_weight: float = SD_WEIGHT


@dataclass(frozen=True)
class Span:
    """Both ends in the unit; the share within, and how sure that is, if asked."""

    low: float
    high: float
    coverage: float
    confidence: float | None = None

    def holds(self, value: float) -> bool:
        return self.low <= value <= self.high


@dataclass(frozen=True)
class Odd:
    """A board that reads unlike the others: its modified z-score."""

    board: int
    score: float


@dataclass(frozen=True)
class Band:
    """Both bands of one model at one point, in ``unit``; ``middle`` is the median.

    ``spread_is_nought``: more than half of the boards read the very same, so that
    the modified z-score is undefined and ``odd`` says nothing.
    """

    unit: str
    scale: Scale
    boards: int
    middle: float
    predictive: Span
    tolerance: Span | None
    odd: tuple[Odd, ...]
    spread_is_nought: bool

    @property
    def decides(self) -> bool:
        """Whether a verdict may rest on it."""
        return self.boards >= BOARDS_FOR_A_BAND


# --- the prior ----------------------------------------------------------------


def prior_of(yardstick: Yardstick) -> Prior | None:
    """The prior that a family's range gives, ``None`` where it is open or absent.

    The range (the usual one, else the limits) is taken as where 95 % of the
    family's boards read: the spread inside one model and that between models.
    What exceeds the spread inside one model is how little the family knows of
    this model's mean, so kappa = sd^2 / (spread^2 - sd^2); before the first board
    the prior's variance is then the family's own. An open range ("from 10 kilohm
    up") says nothing of where above it a model lies.
    """
    low, high = yardstick.usual_low, yardstick.usual_high
    if low is None or high is None:
        low, high = yardstick.low, yardstick.limit_high
    if low is None or high is None or low >= high:
        return None
    scale = Scale.of_unit(yardstick.unit)
    first, last = scale.taken(low), scale.taken(high)
    mean, spread = (first + last) / 2, (last - first) / (2 * Z_95)
    sd = min(_sd_inside(yardstick, mean), spread / sqrt(2))
    return Prior(mean, sd, sd**2 / (spread**2 - sd**2))


def _sd_inside(yardstick: Yardstick, mean: float) -> float:
    """How far boards of one model lie apart, on the scale."""
    if yardstick.unit == "V" and yardstick.polarity:
        return JUNCTION_SHARE * abs(mean)
    return _vague(yardstick.unit, mean).sd


def _vague(unit: str, mean: float) -> Prior:
    """Nothing known of the mean, the usual spread about it."""
    if Scale.of_unit(unit) is Scale.LOG:
        return Prior(mean, OHMS_LOG_SD)
    return Prior(mean, SHARES.get(unit, OTHER_SHARE) * abs(mean))


# --- the bands ----------------------------------------------------------------


def band_of(
    readings: Sequence[Good],
    unit: str,
    prior: Prior | None = None,
    *,
    coverage: float = COVERAGE,
    confidence: float = CONFIDENCE,
) -> Band | None:
    """The band of these good readings, one of each board; ``None`` without any.

    Without a ``prior`` the spread is believed as usual for the unit, and nothing
    of the mean. More boards never widen either band while their spread stays the
    same and is within the prior's: with M the mean square about the median, plus
    kappa d^2 / (kappa + n) where the median lies d from the prior's mean, that is
    for M no larger than before and no larger than sd^2, and for a standard
    deviation and a meter no larger than before. The predictive band holds the
    median for a coverage of 0.9 or more, kappa <= 1 and nu <= 6.
    """
    if not readings:
        return None
    scale = Scale.of_unit(unit)
    scaled = sorted((_on(scale, one) for one in readings), key=_by_value)
    values = [one.value for one in scaled]
    middle = median(values)
    meter = sqrt(fsum(one.u**2 for one in scaled) / len(scaled))
    prior = prior or _vague(unit, middle)
    predictive = _predictive(values, middle, prior, meter, coverage)
    tolerance = _tolerance(values, meter, coverage, confidence)
    off = median(abs(value - middle) for value in values)
    return Band(
        unit=unit,
        scale=scale,
        boards=len(values),
        middle=scale.given(middle),
        predictive=_given(scale, predictive),
        tolerance=_given(scale, tolerance) if tolerance else None,
        odd=_odd(scaled, middle, off),
        spread_is_nought=len(values) >= BOARDS_FOR_A_BAND and off == 0,
    )


def _on(scale: Scale, one: Good) -> Good:
    """On the scale; ohms that a meter can't tell from nought count as its error."""
    if scale is Scale.LINEAR:
        return one
    ohms = max(one.value, one.u, LEAST_OHMS)
    return replace(one, value=scale.taken(ohms), u=one.u / ohms)


def _by_value(one: Good) -> tuple[float, int]:
    return one.value, one.board


def _given(scale: Scale, span: Span) -> Span:
    return replace(span, low=scale.given(span.low), high=scale.given(span.high))


def _about(middle: float, half: float, coverage: float) -> Span:
    return Span(middle - half, middle + half, coverage)


def _predictive(
    values: Sequence[float], middle: float, prior: Prior, meter: float, coverage: float
) -> Span:
    """Student's t about the posterior mean, the meter's error in quadrature."""
    from scipy import special  # type: ignore[import-untyped]  # noqa: PLC0415  0.4 s

    count, kappa, nu = len(values), prior.mean_weight, prior.sd_weight
    weight, free = kappa + count, nu + count
    away = middle - prior.mean
    squares = fsum((value - middle) ** 2 for value in values)
    squares += nu * prior.sd**2 + kappa * count / weight * away**2
    scale = sqrt(squares / free * (1 + 1 / weight))
    t = float(special.stdtrit(free, (1 + coverage) / 2))
    z = float(special.ndtri((1 + coverage) / 2))
    centre = middle - kappa / weight * away
    return _about(centre, hypot(t * scale, z * meter), coverage)


def _tolerance(
    values: Sequence[float], meter: float, coverage: float, confidence: float
) -> Span | None:
    """Mean +- k s from three boards on, the meter's error in quadrature."""
    from scipy import special  # noqa: PLC0415  as above

    count = len(values)
    if count < BOARDS_FOR_A_BAND:
        return None
    mean = fsum(values) / count
    sd = sqrt(fsum((value - mean) ** 2 for value in values) / (count - 1))
    k = two_sided_factor(count, coverage, confidence)
    z = float(special.ndtri((1 + coverage) / 2))
    span = _about(mean, hypot(k * sd, z * meter), coverage)
    return replace(span, confidence=confidence)


def _odd(scaled: Sequence[Good], middle: float, off: float) -> tuple[Odd, ...]:
    """Boards beyond 3.5 by the modified z-score 0.6745 (x - median) / MAD."""
    if off == 0:
        return ()
    scored = [Odd(one.board, CONSISTENT * (one.value - middle) / off) for one in scaled]
    return tuple(one for one in scored if abs(one.score) > ODD_BEYOND)
