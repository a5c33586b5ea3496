"""Whose turn a ticket is, from what has happened. PURE.

There is no state to pick: the events are folded in the order in which they were
written. A clock that goes back doesn't reorder them; the time counts as that of
the event before.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from enum import StrEnum

from shop.intake.facts import READY, RULES, Data, Facts, Happened, nothing

IN_HANDS, PARKED, QUEUE = "in_hands", "parked", "queue"


class Whose(StrEnum):
    OURS = "ours"
    CUSTOMER = "customer"
    SUPPLIER = "supplier"
    HANDOVER = "handover"
    NOBODY = "nobody"


# Who is waited for while a ticket is parked.
PARTY = {
    "resting": Whose.OURS,
    "owner": Whose.OURS,
    "customer": Whose.CUSTOMER,
    "specialist": Whose.SUPPLIER,
}


@dataclass(frozen=True)
class Piece:
    """A stretch of a ticket's life that was one party's turn."""

    whose: Whose
    part: str
    start: datetime
    end: datetime

    @property
    def length(self) -> timedelta:
        return self.end - self.start


@dataclass(frozen=True)
class Turn:
    """Whose turn it is at a moment, and how it came to that.

    ``since`` is the start of the present stretch; ``waits_for`` is a code, with
    its details; ``promise`` is the next that stands unkept, ``ready_by`` the one of a
    finished machine.
    """

    whose: Whose
    part: str
    since: datetime
    waits_for: str
    details: Data
    pieces: tuple[Piece, ...]
    age: timedelta
    promise: datetime | None
    ready_by: datetime | None
    is_promise_kept: bool
    silent_since: datetime
    next_contact: date | None
    held_by: int | None


Step = tuple[datetime, Facts]


def whose_turn(events: Sequence[Happened], now: datetime) -> Turn:
    """Fold a ticket's events, in the order written; at least one is needed."""
    return turn_at(folded(events, now), now)


def folded(events: Sequence[Happened], now: datetime) -> tuple[Step, ...]:
    """Each moment that something happened, with the facts from then on.

    What comes of it holds for every later moment too, as long as nothing else
    happens and no event lies ahead of ``now``.
    """
    if not events:
        raise ValueError("A ticket has at least the event that opened it.")
    return tuple(_steps(events, max(now, events[0].at)))


def turn_at(told: Sequence[Step], now: datetime) -> Turn:
    """Whose turn it is at a moment after all of that."""
    start = told[0][0]
    steps = [*told, *_ended_by_itself(told[-1], max(now, start))]
    facts = steps[-1][1]
    end = steps[-1][0] if facts.is_closed else max(now, start)
    whose, part = _place(facts)
    waits_for, details = _waits_for(facts, whose)
    return Turn(
        whose=whose,
        part=part,
        since=_since(steps),
        waits_for=waits_for,
        details=details,
        pieces=tuple(_pieces(steps, end)),
        age=end - start,
        promise=min(facts.promises.values(), default=None),
        ready_by=facts.promises.get(READY),
        is_promise_kept=facts.has_promised and not facts.promises,
        silent_since=facts.silent_since,
        next_contact=facts.next_contact,
        held_by=next(iter(facts.in_hands.values()), None),
    )


def _steps(events: Sequence[Happened], end: datetime) -> Iterator[Step]:
    moment = events[0].at
    facts = Facts(silent_since=moment)
    for event in events:
        at = min(max(event.at, moment), end)
        if (over := _park_over(facts, moment, at)) is not None:
            facts = replace(facts, park=None)
            yield over, facts
        seen = event if event.at == at else replace(event, at=at)
        facts = RULES.get(event.kind, nothing)(facts, seen)
        yield at, facts
        moment = at
        if facts.is_closed:
            return


def _ended_by_itself(last: Step, end: datetime) -> Iterator[Step]:
    """A park that is over since, though nothing happened."""
    moment, facts = last
    over = None if facts.is_closed else _park_over(facts, moment, end)
    if over is not None:
        yield over, replace(facts, park=None)


def _park_over(facts: Facts, moment: datetime, at: datetime) -> datetime | None:
    """When a park ended by itself, between ``moment`` and ``at``."""
    if facts.park is None or facts.park.until is None or facts.park.until > at:
        return None
    return max(facts.park.until, moment)


def _place(facts: Facts) -> tuple[Whose, str]:
    if facts.is_closed:
        return Whose.NOBODY, ""
    if facts.is_ended:
        return Whose.HANDOVER, ""
    if facts.park is not None:
        whose = PARTY.get(facts.park.party, Whose.OURS)
        return whose, PARKED if whose == Whose.OURS else ""
    if facts.open_quote is not None:
        return Whose.CUSTOMER, ""
    if facts.orders and not facts.is_price_asked:
        return Whose.SUPPLIER, ""
    return Whose.OURS, IN_HANDS if facts.in_hands else QUEUE


def _waits_for(facts: Facts, whose: Whose) -> tuple[str, Data]:
    if facts.is_closed:
        return "nothing", {}
    if facts.is_ended:
        return _ready(facts), {}
    if facts.park is not None:
        park = facts.park
        details = {"because": park.because, "until": park.until, "by": park.by}
        return f"parked_{park.party}", details
    if whose == Whose.CUSTOMER:
        return "answer_to_quote", facts.open_quote or {}
    if whose == Whose.SUPPLIER:
        due = sorted(d for d in facts.orders.values() if d)
        return "parts", {"count": len(facts.orders), "due_on": due[0] if due else None}
    step = "new_price_asked" if facts.is_price_asked else facts.step
    return step, {"version": facts.answered_version}


def _ready(facts: Facts) -> str:
    if not facts.has_outcome:
        return "outcome_to_record"
    return "ready_told" if facts.is_told_ready else "ready_not_told"


def _since(steps: Sequence[tuple[datetime, Facts]]) -> datetime:
    """Since when it has been the present party's turn, in the present way."""
    here = _place(steps[-1][1])
    since = steps[-1][0]
    for moment, facts in reversed(steps):
        if _place(facts) != here:
            break
        since = moment
    return since


def _pieces(steps: Sequence[tuple[datetime, Facts]], end: datetime) -> Iterator[Piece]:
    """Neighbouring stretches of one party joined; none of no length."""
    ends = [moment for moment, _facts in steps[1:]] + [end]
    piece: Piece | None = None
    for (start, facts), stop in zip(steps, ends, strict=True):
        whose, part = _place(facts)
        if stop == start:
            continue
        if piece is not None and (piece.whose, piece.part) == (whose, part):
            piece = replace(piece, end=stop)
            continue
        if piece is not None:
            yield piece
        piece = Piece(whose, part, start, stop)
    if piece is not None:
        yield piece
