"""Readings and acts -> what they make of the faults. PURE.

An intervention starts a new epoch. A reading from before it speaks of the board as
it was: the touched part's fault may have been at work then. While a part is out,
its own fault shows nowhere; power on a board that lacks a part in series says
nothing of the board as it will be.

Readings of one point that agree are one reading, less likely missed; those that
don't are all weighed, and are told of as disagreeing.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import isclose, log

import numpy as np

from diagnostics.engine.circuit.answers import answer_of_hertz
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.predict import CONTINUITY, CONTINUITY_OHMS
from diagnostics.engine.evidence import Done, Evidence, Seen
from diagnostics.engine.family import POWERED
from diagnostics.engine.kernels import OHMS, Usual
from diagnostics.engine.models import Model
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.weigh import MISSED, Told, Weighing

# Another repairer's reading: half of it is taken as said by nobody (judgement).
TOLD_WEIGHT = 0.5
# Each time the same is read again a missed contact is this much less likely (jd).
AGAIN = 0.2
# Two readings of one point agree within these (judgement).
USUAL_LEADS = 0.3  # ohms, the middle of k04's 0.1 to 0.5 (common practice)
AGREE_SHARE, AGREE_LEAST = 0.2, {"R": 0.3, "C": 0.3, "D": 0.05, "V": 0.1, "I": 0.02}
FREQUENCY = "F"
LIFTED = "lifted"
TAKEN_OUT = frozenset({LIFTED, "removed"})
PUT_BACK = frozenset({"fitted", "replaced", "reflowed"})


@dataclass(frozen=True)
class Heard:
    """All evidence weighed, and where readings of one point disagree.

    ``now`` are the readings of the board as it is.
    """

    weighing: Weighing
    now: tuple[Told, ...]
    disagree: tuple[str, ...]


@dataclass(frozen=True)
class Moment:
    """How the board stood at a reading: what was touched since, what was out."""

    touched_since: frozenset[str]
    out: frozenset[str]


def heard(
    model: Model,
    evidence: Evidence,
    before: Floats,
    usual: Mapping[int, Usual],
    missed: float = MISSED,
) -> Heard:
    """Weigh all evidence. Raises ``EvidenceError`` for a point that the board
    doesn't have."""
    weighing = Weighing(model.kernels, before, missed, usual)
    groups: dict[Moment, dict[str, list[Seen]]] = {}
    for seen in evidence.seen:
        model.board.point(seen.point_id)
        moment = moment_of(model, evidence.done, seen)
        if is_evidence(model, seen, moment):
            points = groups.setdefault(moment, {})
            points.setdefault(seen.point_id, []).append(seen)
    now: list[Told] = []
    disagree: list[str] = []
    for moment, points in groups.items():
        told = []
        for point, taken in points.items():
            kept = agreed(model, taken)
            disagree += [point] if len(kept) > 1 else []
            told += [_told(model, weighing, one, moment) for one in kept]
        rows = [r for p in moment.touched_since for r in model.rows_of_part.get(p, ())]
        weighing.add_earlier(told, rows)
        now += [] if rows else told
    return Heard(weighing, tuple(now), tuple(dict.fromkeys(disagree)))


# --- how the board stood -----------------------------------------------------------


def moment_of(model: Model, done: Sequence[Done], seen: Seen) -> Moment:
    """A part that is merely lifted now was not repaired: it counts as untouched."""
    since = {act.part_id for act in done if act.epoch > seen.epoch}
    newest = {act.part_id: act.kind for act in sorted(done, key=lambda one: one.epoch)}
    lifted = {part for part, kind in newest.items() if kind == LIFTED}
    touched = (since - lifted) & model.board.parts.keys()
    return Moment(frozenset(touched), parts_out(done, until=seen.epoch))


def parts_out(done: Sequence[Done], until: int) -> frozenset[str]:
    """Parts that were off the board, or lifted, in an epoch."""
    out: set[str] = set()
    for act in sorted(done, key=lambda one: one.epoch):
        if act.epoch <= until and act.part_id:
            if act.kind in TAKEN_OUT:
                out.add(act.part_id)
            elif act.kind in PUT_BACK:
                out.discard(act.part_id)
    return frozenset(out)


def is_evidence(model: Model, seen: Seen, moment: Moment) -> bool:
    """Whether the circuit predicts such a reading at all."""
    point = model.board.point(seen.point_id)
    check = model.board.check(point.check)
    if not model.board.is_fitted(point.id) or seen.is_turned:
        return False
    if seen.condition not in {"", check.condition}:
        return False
    lacks = any(not model.bears_its_lack(part) for part in moment.out)
    if lacks and (check.condition in POWERED or point.pair is not None):
        return False
    if is_answered(model, seen):
        chances = model.kernels.predictions.chances(point.id, seen.fitted)
        return chances is not None and answer_of(model, seen) in chances.names
    is_read = seen.outcome is Outcome.VALUE or _is_over_limit(check.mode, seen)
    return is_read and column(model, seen) is not None


def column(model: Model, seen: Seen) -> int | None:
    """Where the predictions hold such a reading, or ``None``."""
    return model.kernels.predictions.column(seen.point_id, seen.fitted)


def is_answered(model: Model, seen: Seen) -> bool:
    """Whether it counts by its answer: it has no value, or its course says more."""
    check = model.board.check(model.board.point(seen.point_id).check)
    has_word = bool(check.patterns.get(seen.answer))
    return seen.outcome is Outcome.CATEGORY or has_word or check.mode == FREQUENCY


def answer_of(model: Model, seen: Seen) -> str:
    """The answer; of a frequency, whether anything runs there."""
    yardstick = model.board.yardstick(seen.point_id)
    if seen.outcome is Outcome.CATEGORY or seen.value is None or yardstick is None:
        return seen.answer
    check = model.board.check(model.board.point(seen.point_id).check)
    if check.mode == FREQUENCY:
        return answer_of_hertz(seen.value, yardstick)
    return seen.answer


def _is_over_limit(mode: str, seen: Seen) -> bool:
    return seen.outcome is Outcome.OVER_LIMIT and mode in {"R", "C", "D"}


# --- one point ---------------------------------------------------------------------


def agreed(model: Model, taken: Sequence[Seen]) -> list["Repeated"]:
    """The readings of one point: those that agree as one, its newest."""
    kept: list[Repeated] = []
    for seen in taken:
        like = next((one for one in kept if _agree(model, one.seen, seen)), None)
        if like is None:
            kept.append(Repeated(seen))
        else:
            kept[kept.index(like)] = replace(like, seen=seen, times=like.times + 1)
    return kept


@dataclass(frozen=True)
class Repeated:
    seen: Seen
    times: int = 1


def _agree(model: Model, one: Seen, other: Seen) -> bool:
    if one.outcome is not other.outcome or one.answer != other.answer:
        return False
    if one.value is None or other.value is None:
        return True
    mode = model.board.check(model.board.point(one.point_id).check).mode
    least = AGREE_LEAST.get(mode, 0.0)
    return isclose(one.value, other.value, rel_tol=AGREE_SHARE, abs_tol=least)


def _told(model: Model, weighing: Weighing, one: Repeated, moment: Moment) -> Told:
    missed = weighing.missed * AGAIN ** (one.times - 1)
    seen = one.seen
    if is_answered(model, seen):
        told = weighing.tell_answer(seen.point_id, answer_of(model, seen), missed)
    else:
        at = column(model, seen)
        assert at is not None
        told = weighing.tell(at, value_of(model, at, seen), missed)
    told = _without(model, told, moment.out)
    return _half_heard(told) if seen.is_told else told


def value_of(model: Model, at: int, seen: Seen) -> float | None:
    """What is read there, less the leads; where these aren't known, less usual ones.
    ``None`` is OL, which continuity shows for all but few ohms."""
    mode = model.kernels.predictions.modes[at]
    is_beeper = mode == CONTINUITY and (seen.value or 0.0) > CONTINUITY_OHMS
    if seen.value is None or is_beeper:
        return None
    leads = USUAL_LEADS if mode in OHMS and not seen.is_net else 0.0
    return max(seen.value - leads, 0.0) if leads else seen.value


def _without(model: Model, told: Told, out: frozenset[str]) -> Told:
    """What is off the board shows no fault of its own: it reads as a good one."""
    rows = [row for part in out for row in model.rows_of_part.get(part, ())]
    if not rows:
        return told
    logs, touched = told.logs.copy(), told.touched.copy()
    logs[rows], touched[rows] = told.logs[0], False
    return replace(told, logs=logs, touched=touched)


def _half_heard(told: Told) -> Told:
    logs = np.logaddexp(
        log(TOLD_WEIGHT) + told.logs, log(1 - TOLD_WEIGHT) + told.something_else
    )
    return replace(told, logs=logs)
