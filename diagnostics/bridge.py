"""The only place where rows become engine values."""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cache, cached_property, lru_cache, partial
from math import inf
from typing import Any, Protocol

from diagnostics import models as rows
from diagnostics.absent import Marks
from diagnostics.engine import boards, feeds, gates, meters, twins, verdicts
from diagnostics.engine.bands import Band
from diagnostics.engine.boards import Board
from diagnostics.engine.errors import MeterError
from diagnostics.engine.family import Check, Family, Point
from diagnostics.engine.family_load import options_of
from diagnostics.engine.gates import Standings
from diagnostics.engine.lore import NO_LORE, Like, Lore
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.yardsticks import Observed, Supply, Verdict, Yardstick
from diagnostics.settling import LEADS
from shop.records.models import Event

ENGINE_VERSION = "1"
POWER_GONE = "k03"
# Readings that prepare others and say nothing of the board.
AWAY = rows.InterventionKind.AWAY
HOUSEKEEPING = frozenset({POWER_GONE, LEADS})
NOTHING = frozenset[str]()


LoreAt = Callable[[datetime], Lore]


def no_lore(_now: datetime) -> Lore:
    return NO_LORE


class YardstickOf(Protocol):
    def __call__(self, reading: rows.Reading) -> Yardstick | None: ...


@dataclass(frozen=True)
class Judged:
    """A reading with what it means."""

    reading: rows.Reading
    verdict: Verdict
    point: Point
    check: Check
    yardstick: Yardstick | None


# --- boards -----------------------------------------------------------------


def family_ids() -> tuple[str, ...]:
    return tuple(boards.FAMILY_IDS)


def family_name(family: str) -> str:
    return _family(family).name


def family_options(family: str) -> dict[str, tuple[str, ...]]:
    """What a board model of this family may choose, each default first."""
    return options_of(_family(family))


def has(board: Board, what: str) -> bool:
    """Whether an id names a stage, rail, signal or point of a board."""
    stages = {stage.id for stage in board.family.stages}
    return what in stages or any(
        what in members for members in (board.rails, board.signals, board.points)
    )


def engine_board(
    family: str,
    patches: Mapping[str, Any],
    not_fitted: frozenset[str] = frozenset(),
) -> Board:
    """The engine's board; made once for the same family, patches and gaps."""
    return _board(family, json.dumps(patches, sort_keys=True), not_fitted)


@lru_cache(maxsize=256)
def _board(family: str, patches: str, not_fitted: frozenset[str]) -> Board:
    changes = [boards.Patch(key, new) for key, new in json.loads(patches).items()]
    return boards.board_of(_family(family), changes, not_fitted)


def families() -> Iterator[Family]:
    return (_family(one) for one in family_ids())


@cache
def _family(family: str) -> Family:
    return boards.load_family(family)


def check_id_of(point_id: str) -> str:
    """The check that a point belongs to: ``k11/sb.33`` is of ``k11``."""
    return point_id.partition("/")[0]


# --- readings ---------------------------------------------------------------


def meter_spec(meter: rows.Meter | None) -> meters.MeterSpec:
    """The meter's accuracy; a meter without its own ranges counts as a handheld."""
    if meter is None or not meter.ranges:
        return meters.HANDHELD
    return meters.MeterSpec(
        name=meter.name,
        ranges=tuple(meters.MeterRange(**one) for one in meter.ranges),
        diode_amps=meter.diode_amps,
        diode_volts=meter.diode_volts,
    )


def uncertainty_of(reading: rows.Reading) -> meters.Uncertainty:
    """A bare "0" says nothing of the digits: it counts as the meter's own zero."""
    is_bare_zero = reading.value == 0 and not reading.decimals
    return meters.standard_uncertainty(
        meter_spec(reading.meter),
        reading.mode,
        reading.value or 0.0,
        None if is_bare_zero else reading.digit,
        is_four_wire=reading.is_four_wire,
    )


def error_of(reading: rows.Reading) -> float:
    """Standard uncertainty of a kept reading, in its unit.

    A meter whose ranges were changed since may not hold it any more: then its
    error is unknown, and counts as being as large as the value itself.
    """
    try:
        return uncertainty_of(reading).u
    except MeterError:
        return abs(reading.value or 0.0)


def observed(reading: rows.Reading) -> Observed:
    has_value = reading.outcome == Outcome.VALUE
    return Observed(
        outcome=Outcome(reading.outcome),
        value=reading.value,
        u=error_of(reading) if has_value else 0.0,
        mode=reading.mode,
        polarity=reading.polarity,
        four_wire=reading.is_four_wire,
        lead_ohms=reading.lead_ohms,
        category=reading.category,
        fitted=frozenset(reading.fitted),
        supply=Supply(reading.supply_volts, reading.supply_actual_volts),
    )


def settled_ohms(reading: rows.Reading) -> float | None:
    """Ohms less the leads, endless for OL; ``None`` where no ohms were read."""
    if reading.unit != "ohm":
        return None
    if reading.outcome == Outcome.OVER_LIMIT:
        return inf
    return observed(reading).net if reading.value is not None else None


def judged_all(
    board: Board,
    readings: Sequence[rows.Reading],
    lore: Lore = NO_LORE,
    away: Sequence[int] = (),
) -> tuple[Judged, ...]:
    """Each reading with its verdict, in the order given.

    Main to phase is held against the ohms of its two rails, as they stood in
    the epoch of the reading; so those come first. ``away`` are the epochs that
    began when the board came in again: what was read before them stands no more.
    """
    usual = partial(yardstick_with, board, lore)
    plain = {
        reading.pk: judged(board, reading, usual)
        for reading in readings
        if not board.check(reading.check_id).by_arithmetic
    }
    by_epoch: dict[int, Standings] = {}
    found = []
    for reading in readings:
        if reading.pk not in plain:
            epoch = reading.epoch
            if epoch not in by_epoch:
                since = max((a for a in away if a <= epoch), default=0)
                by_epoch[epoch] = standings_in(plain.values(), since, epoch)
            of_rails = partial(yardstick_of_rails, board, by_epoch[epoch])
            found.append(judged(board, reading, of_rails))
        else:
            found.append(plain[reading.pk])
    return tuple(beside_their_twins([*beside_their_feeds(board, found)]))


def beside_their_feeds(board: Board, found: Sequence[Judged]) -> Iterator[Judged]:
    """Each reading beside the newest volts of its epoch and condition."""
    volts: dict[tuple[int, str], dict[str, float]] = {}
    for one in found:
        if one.check.mode == "V" and one.point.rail and one.reading.value is not None:
            own = volts.setdefault((one.reading.epoch, one.reading.condition), {})
            own[one.point.rail] = one.reading.value
    for one in found:
        own = volts.get((one.reading.epoch, one.reading.condition), {})
        if one.check.mode == "V" and "pack" not in one.reading.fitted:
            beside = feeds.with_feed(board, one.point, one.verdict, own)
            yield one if beside is one.verdict else replace(one, verdict=beside)
        else:
            yield one


def beside_their_twins(found: Sequence[Judged]) -> Iterator[Judged]:
    """Each reading beside the newest of its check's other points in its epoch."""
    read: dict[tuple[int, str], dict[str, float]] = {}
    for one in found:
        if one.check.alike is not None and one.reading.value is not None:
            own = read.setdefault((one.reading.epoch, one.check.id), {})
            own[one.point.id] = one.reading.value
    for one in found:
        own = read.get((one.reading.epoch, one.check.id), {})
        others = [value for point, value in own.items() if point != one.point.id]
        if others and one.reading.value is not None:
            value = one.reading.value
            beside = twins.with_twins(one.check, one.verdict, value, others)
            yield replace(one, verdict=beside)
        else:
            yield one


def yardstick_with(board: Board, lore: Lore, reading: rows.Reading) -> Yardstick | None:
    """The family's yardstick, with this model's own band in it where there is one."""
    plain = board.yardstick(
        reading.point_id,
        condition=reading.condition,
        fitted=frozenset(reading.fitted),
    )
    return lore.over(plain, like_of(reading), reading.unit)


def yardstick_of_rails(
    board: Board, standings: Standings, reading: rows.Reading
) -> Yardstick | None:
    return gates.yardstick_of(
        board,
        reading.point_id,
        standings,
        condition=reading.condition,
        fitted=frozenset(reading.fitted),
    )


def like_of(reading: rows.Reading) -> Like:
    """How a reading was taken: what it may be compared with."""
    return Like(
        reading.point_id,
        reading.condition,
        reading.polarity,
        frozenset(reading.fitted),
    )


def standings_in(all_judged: Iterable[Judged], since: int, epoch: int) -> Standings:
    """The newest word and ohms at each point, from one epoch up to another."""
    return {
        one.reading.point_id: gates.Standing(
            word=one.verdict.word.value, settled_ohms=settled_ohms(one.reading)
        )
        for one in all_judged
        if since <= one.reading.epoch <= epoch
    }


def judged(board: Board, reading: rows.Reading, yardstick_of: YardstickOf) -> Judged:
    check = board.check(reading.check_id)
    yardstick = yardstick_of(reading)
    return Judged(
        reading,
        verdict(check, reading, yardstick),
        board.point(reading.point_id),
        check,
        yardstick,
    )


def verdict(
    check: Check, reading: rows.Reading, yardstick: Yardstick | None
) -> Verdict:
    """A course with a word of its own decides by itself; else the value does."""
    course = (reading.pattern or {}).get("kind", "")
    if check.patterns.get(course):
        seen = Observed(Outcome.CATEGORY, category=course)
        return verdicts.judge(seen, None, category_words=check.patterns)
    return verdicts.judge(observed(reading), yardstick, category_words=check.categories)


def away_in(done: Iterable[rows.Intervention]) -> tuple[int, ...]:
    """The epochs that began when the board came in again, oldest first."""
    return tuple(one.epoch for one in done if one.kind == AWAY)


def moment_of(fact: rows.Reading | rows.ConditionSet) -> datetime:
    """When it was read or said; a tablet may have kept it before it came in."""
    return fact.taken_at if isinstance(fact, rows.Reading) else fact.at


# --- a board with all that is known of it -------------------------------------


@dataclass(frozen=True)
class Known:
    """All that is known of one board: a few queries, however much was read.

    ``lore_at`` loads what other good boards read when it is first asked. ``hands`` are
    the takings and puttings down. ``worked_out`` keeps what others made of it, while it
    is looked at.
    """

    row: rows.Board
    board: Board
    readings: tuple[rows.Reading, ...]
    interventions: tuple[rows.Intervention, ...]
    overrides: tuple[rows.GateOverride, ...]
    holder_id: int | None
    now: datetime
    lore_at: LoreAt = field(default=no_lore, compare=False, repr=False)
    words: tuple[rows.SuspectWord, ...] = ()
    sightings: tuple[rows.Sighting, ...] = ()
    worked_out: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)
    conditions: tuple[rows.ConditionSet, ...] = ()
    passed_by: tuple[rows.PassedBy, ...] = ()
    absent: Marks = field(default_factory=dict)
    hands: tuple[Event, ...] = ()

    @cached_property
    def lore(self) -> Lore:
        return self.lore_at(self.now)

    def yardstick(self, like: Like, unit: str) -> Yardstick | None:
        """What a reading taken like this is held against."""
        return self.lore.over(self._of_family(like), like, unit)

    def band(self, like: Like, unit: str) -> Band | None:
        """What this model's other good boards make likely there."""
        return self.lore.band(self._of_family(like), like, unit)

    def goods(self, like: Like) -> list[float]:
        """What they read there, in order of size."""
        return sorted(good.value for good in self.lore.goods.get(like, ()))

    def _of_family(self, like: Like) -> Yardstick | None:
        return self.board.yardstick(
            like.point_id, condition=like.condition, fitted=like.fitted
        )

    def like_next(self, check: Check, point: Point) -> Like:
        """How the next reading there will most likely be taken: as the last was."""
        condition = check.condition
        return Like(point.id, condition, point.polarity, self.fitted_in(condition))

    def fitted_in(self, condition: str) -> frozenset[str]:
        """What was in the board when it last stood in this condition."""
        facts: list[rows.Reading | rows.ConditionSet]
        facts = [*self.readings, *self.conditions]
        stood = [one for one in facts if one.condition == condition]
        return frozenset(max(stood, key=moment_of).fitted) if stood else NOTHING

    @property
    def epoch(self) -> int:
        return self.interventions[-1].epoch if self.interventions else 0

    def epoch_at(self, moment: datetime) -> int:
        """The epoch of the board at a moment in the past."""
        return max(
            (one.epoch for one in self.interventions if one.at <= moment), default=0
        )

    @cached_property
    def back_since(self) -> int:
        """The epoch that began when the board came in this time; 0: it never left."""
        return self._away[-1] if self._away else 0

    @cached_property
    def _away(self) -> tuple[int, ...]:
        return away_in(self.interventions)

    @property
    def work(self) -> tuple[rows.Intervention, ...]:
        """What was done to the board since it came in this time."""
        return tuple(a for a in self.interventions if a.epoch > self.back_since)

    @cached_property
    def judged(self) -> tuple[Judged, ...]:
        """Every standing reading with its verdict, oldest first."""
        return judged_all(self.board, self.readings, self.lore, self._away)

    def newest(self) -> dict[str, Judged]:
        """The newest standing reading at each point."""
        return {one.reading.point_id: one for one in self.judged}
