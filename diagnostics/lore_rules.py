"""Which readings of one board count as good, from its facts alone."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from diagnostics import bridge
from diagnostics.bridge import HOUSEKEEPING, Judged
from diagnostics.engine.bands import Good
from diagnostics.engine.boards import Board as EngineBoard
from diagnostics.engine.lore import Like, can_touch, may_count
from diagnostics.engine.quantities import Outcome
from diagnostics.models import (
    Board,
    Finding,
    Intervention,
    InterventionKind,
    Origin,
    Reading,
)


@dataclass(frozen=True)
class Entry:
    """One good reading of one board: from when on it counts, and until when.

    Behind a repair stands a warranty: until it has run from ``handed_over`` on the
    reading is provisional.
    """

    like: Like
    good: Good
    unit: str
    since: datetime
    until: datetime | None
    is_of_repair: bool = False
    handed_over: datetime | None = None

    def counts_at(self, now: datetime) -> bool:
        return self.since <= now and (self.until is None or now < self.until)

    def is_provisional(self, now: datetime, warranty_days: int) -> bool:
        if not self.is_of_repair or self.handed_over is None:
            return self.is_of_repair
        return now < self.handed_over + timedelta(days=warranty_days)


@dataclass(frozen=True)
class Facts:
    """What is on record of one board, oldest first.

    ``readings`` are our own standing values; ``kept`` when a reading was kept as
    good; ``fixed`` and ``handed_over`` when a ticket ended as fixed, and was closed.
    """

    board: Board
    readings: Sequence[Reading]
    interventions: Sequence[Intervention]
    findings: Sequence[Finding]
    kept: Mapping[int, datetime]
    fixed: Mapping[int, datetime]
    handed_over: Mapping[int, datetime]


def entries_of_board(board: EngineBoard, facts: Facts) -> Iterator[Entry]:
    for one in judged_of(board, facts):
        if one.check.id in HOUSEKEEPING:
            continue
        since = counts_since(facts, one.reading)
        if since is not None and is_telling(facts, one):
            yield entry(board, facts, one, since)


def counts_since(facts: Facts, reading: Reading) -> datetime | None:
    """When a reading began to count, by the kind that it is of."""
    if reading.ticket_id is None:
        is_reference = facts.board.origin != Origin.CUSTOMER
        return reading.taken_at if is_reference else None
    repair = repair_of(facts, reading.ticket_id)
    fixed = facts.fixed.get(reading.ticket_id)
    if repair is None or fixed is None:
        return None
    if reading.epoch >= repaired_in(facts, repair):
        return fixed
    kept = facts.kept.get(reading.pk)
    return max(kept, fixed) if kept else None


def is_telling(facts: Facts, one: Judged) -> bool:
    is_of_donor = facts.board.origin == Origin.DONOR and one.reading.ticket_id is None
    outcome = Outcome(one.reading.outcome)
    return may_count(outcome, one.verdict, is_known_good=not is_of_donor)


def entry(board: EngineBoard, facts: Facts, one: Judged, since: datetime) -> Entry:
    reading = one.reading
    seen = bridge.observed(reading)
    return Entry(
        like=bridge.like_of(reading),
        good=Good(facts.board.pk, seen.net, seen.u),
        unit=reading.unit,
        since=since,
        until=found_faulty(board, facts, one),
        is_of_repair=reading.ticket_id is not None,
        handed_over=facts.handed_over.get(reading.ticket_id or 0),
    )


def judged_of(board: EngineBoard, facts: Facts) -> tuple[Judged, ...]:
    away = bridge.away_in(facts.interventions)
    return bridge.judged_all(board, facts.readings, away=away)


def repair_of(facts: Facts, ticket_id: int) -> Finding | None:
    """The newest finding of a ticket that its repair proved."""
    proven = [f for f in facts.findings if f.ticket_id == ticket_id and f.is_proven]
    return proven[-1] if proven else None


def repaired_in(facts: Facts, finding: Finding) -> int:
    """The epoch that began with the repair; the one after it where none was done."""
    before = [
        act
        for act in facts.interventions
        if act.epoch <= finding.epoch and act.kind != InterventionKind.AWAY
    ]
    on_part = [act for act in before if act.part_id == finding.part_id]
    done = on_part or (before if finding.is_proven else [])
    return done[-1].epoch if done else finding.epoch + 1


def found_faulty(board: EngineBoard, facts: Facts, one: Judged) -> datetime | None:
    """When the board was found to have had a fault that may show in this reading."""
    return min(
        (
            finding.at
            for finding in facts.findings
            if finding.cause == Finding.Cause.PART
            and one.reading.epoch < repaired_in(facts, finding)
            and one.reading.taken_at < finding.at
            and can_touch(board, finding.part_id, finding.mode_id, one.point)
        ),
        default=None,
    )


def untouched(board: EngineBoard, facts: Facts, ticket_id: int) -> list[Reading]:
    """Good readings before a proven repair that the fault can't have touched.

    These a technician may keep as good; the newest of each way of reading.
    """
    repair = repair_of(facts, ticket_id)
    if repair is None:
        return []
    newest = {
        bridge.like_of(one.reading): one.reading
        for one in judged_of(board, facts)
        if one.reading.ticket_id == ticket_id
        and one.check.id not in HOUSEKEEPING
        and one.reading.epoch < repaired_in(facts, repair)
        and one.reading.pk not in facts.kept
        and may_count(Outcome(one.reading.outcome), one.verdict, is_known_good=False)
        and found_faulty(board, facts, one) is None
    }
    return list(newest.values())
