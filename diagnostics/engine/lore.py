"""What the good boards of a model read, as the yardstick of one board. PURE.

Readings are compared with their like alone: the same point, condition, polarity and
fitted set. From three boards on the model's own predictive band takes the place of
the family's usual range; limits stay as they are. One or two boards inform the
suspects but turn no verdict. The tolerance interval is told beside it: at three
boards it is so wide that a reading would be called usual out of ignorance.

>>> lore = Lore({Like("k11/sb.33"): (Good(1, 400.0), Good(2, 430.0), Good(3, 415.0))})
>>> rail = Yardstick(unit="ohm", limit_low=10.0, watch_low=100.0, usual_low=300.0)
>>> lore.over(rail, Like("k11/sb.33"), "ohm").usual_count
3
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from diagnostics.engine.bands import Band, Good, Scale, band_of, prior_of
from diagnostics.engine.boards import Board
from diagnostics.engine.family import POWERED, Point
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.readings_as import kind_of, state_at
from diagnostics.engine.spread import NO_FAULT, Spread, faults_of
from diagnostics.engine.yardsticks import Verdict, Word, Yardstick

THIS_MODEL = "this model"
# Unclear for want of a yardstick: on a good board that is just what it reads.
STILL_TELLS = frozenset({"between_bands", "no_yardstick"})
SPOILS = frozenset({"leads_not_known", "under_lead_spread", "other_polarity"})


@dataclass(frozen=True)
class Like:
    """How a reading was taken: only readings alike in all of it are compared."""

    point_id: str
    condition: str = "U"
    polarity: str = "red_on_point"
    fitted: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Lore:
    """The good boards of a model, one reading each, by how they were taken."""

    goods: Mapping[Like, tuple[Good, ...]]
    _bands: dict[Like, Band | None] = field(default_factory=dict, compare=False)

    def band(self, yardstick: Yardstick | None, like: Like, unit: str) -> Band | None:
        """The band of the readings alike; ``None`` without any."""
        if like not in self._bands:
            prior = prior_of(yardstick) if yardstick else None
            self._bands[like] = band_of(self.goods.get(like, ()), unit, prior)
        return self._bands[like]

    def over(
        self, yardstick: Yardstick | None, like: Like, unit: str
    ) -> Yardstick | None:
        """The family's yardstick with this model's own band in it.

        A rail that may rightly be off has no yardstick, and gets none here: that
        good boards read nothing there too proves nothing.
        """
        if yardstick is None and like.condition in POWERED:
            return None
        band = self.band(yardstick, like, unit)
        if band is None or not band.decides:
            return yardstick
        low, high = usual_range(band)
        return replace(
            yardstick or Yardstick(unit=unit, polarity=like.polarity),
            usual_low=low,
            usual_high=high,
            usual_source=THIS_MODEL,
            usual_count=band.boards,
            ok_from=yardstick.good_from if yardstick else None,
        )


NO_LORE = Lore({})


def usual_range(band: Band) -> tuple[float, float]:
    """The predictive band; in ohms, which spread by factors, at two figures outward.

    >>> usual_range(band_of((Good(1, 400.0), Good(2, 430.0), Good(3, 415.0)), "ohm"))
    (270.0, 630.0)
    """
    low, high = band.predictive.low, band.predictive.high
    if band.scale is not Scale.LOG:
        return low, high
    return _outward(low, ROUND_FLOOR), _outward(high, ROUND_CEILING)


def _outward(ohms: float, way: str) -> float:
    exact = Decimal(repr(ohms))
    second = exact.adjusted() - 1
    return float(exact.scaleb(-second).to_integral_value(way).scaleb(second))


def may_count(outcome: Outcome, verdict: Verdict, *, is_known_good: bool) -> bool:
    """Whether a good board's reading says what this model reads.

    A bad one doesn't, nor one spoilt by the leads. Of a board that may have faults
    of its own (a donor) only what is good counts.
    """
    codes = {reason.code for reason in verdict.reasons}
    if outcome is not Outcome.VALUE or codes & SPOILS:
        return False
    if verdict.word is Word.UNCLEAR:
        return is_known_good and bool(codes & STILL_TELLS)
    return verdict.word is Word.GOOD or (is_known_good and verdict.word is Word.WATCH)


def can_touch(board: Board, part_id: str, mode_id: str, point: Point) -> bool:
    """Whether this failure may show in what is read at a point.

    An unknown part or way of failing may be anything, and so touches all.
    """
    part = board.parts.get(part_id)
    mode = next((m for m in part.modes if m.id == mode_id), None) if part else None
    kind = kind_of(board, point)
    if mode is None or kind is None:
        return True
    if {point.rail, point.signal, *(point.pair or ())} & set(mode.touches):
        return True
    sound = state_at(Spread(board, NO_FAULT), point, kind)
    return any(
        state_at(Spread(board, fault), point, kind) != sound
        for fault in faults_of(board, mode)
    )
