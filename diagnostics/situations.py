"""Rows -> what the engine assesses: the evidence, and what may be measured now."""

from diagnostics import conditions
from diagnostics import models as rows
from diagnostics.bridge import HOUSEKEEPING, Judged, Known, observed
from diagnostics.engine.assessment import Key
from diagnostics.engine.evidence import Done, Evidence, Seen, Sight, Situation
from diagnostics.engine.quantities import Outcome
from diagnostics.walk import walk_of

UNREADABLE = frozenset({Outcome.CANT_REACH, Outcome.NOT_FITTED})


def evidence_of(known: Known) -> Evidence:
    """Readings of ours and others', what was done, what is seen and said.

    All since the board came in this time: what was read before it went home speaks
    of a board that has been in use since.
    """
    since = known.back_since
    return Evidence(
        seen=tuple(
            seen(one)
            for one in known.judged
            if one.check.id not in HOUSEKEEPING and one.reading.epoch >= since
        ),
        done=tuple(Done(a.epoch, a.part_id, a.kind) for a in known.work),
        sights=tuple(
            Sight(s.kind, s.part_id, s.rail_id)
            for s in known.sightings
            if s.epoch >= since
        ),
        struck=said(known, rows.SuspectWord.Kind.STRUCK),
        added=said(known, rows.SuspectWord.Kind.ADDED),
    )


def standing_words(known: Known) -> dict[Key, rows.SuspectWord]:
    """The technicians' newest word on each suspect."""
    return {(one.part_id, one.mode_id): one for one in known.words}


def said(known: Known, kind: str) -> frozenset[Key]:
    """Suspects of which a technician's newest word is of this kind."""
    words = standing_words(known)
    return frozenset(key for key, word in words.items() if word.kind == kind)


def seen(one: Judged) -> Seen:
    reading = one.reading
    has_value = reading.outcome == Outcome.VALUE
    has_leads = reading.is_four_wire or reading.lead_ohms is not None
    return Seen(
        point_id=reading.point_id,
        word=one.verdict.word.value,
        outcome=Outcome(reading.outcome),
        value=observed(reading).net if has_value else None,
        epoch=reading.epoch,
        condition=reading.condition,
        fitted=frozenset(reading.fitted),
        answer=reading.category or (reading.pattern or {}).get("kind", ""),
        is_net=reading.unit != "ohm" or has_leads,
        is_told=reading.source == rows.ReadingSource.TOLD,
        is_turned=reading.mode == "D" and reading.polarity != one.point.polarity,
    )


def situation_of(known: Known) -> Situation:
    """The board's condition, what is held off, and what needs no reading."""
    walk = walk_of(known)
    unread = {step.check.id for step in walk.steps if not step.is_read}
    held = {check: holds[0].frees for check in unread if (holds := walk.holds(check))}
    passed_by = {
        step.point.id
        for step in walk.steps
        if step.is_read or walk.is_passed_by(step.check.id)
    }
    passed_by |= {
        one.reading.point_id
        for one in known.judged
        if one.reading.outcome in UNREADABLE and one.reading.epoch == known.epoch
    }
    return Situation(condition_of(known), held, frozenset(passed_by))


def condition_of(known: Known) -> str:
    """The board's condition as it was last said or read; not known, no power."""
    return conditions.now_of(known).condition or conditions.UNPOWERED
