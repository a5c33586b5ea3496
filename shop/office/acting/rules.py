"""Which tickets and papers the owner has to act on. PURE: plain facts in, lists out.

Each list is whole, as its name says it: a ticket may stand in several. What is oldest
or breaks first stands on top.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from enum import StrEnum

from shop.intake.facts import FOUND_MORE
from shop.intake.turn import PARKED, QUEUE, Turn, Whose

WEEK, DAY = timedelta(days=7), timedelta(days=1)
# What is to be done once the customer has said yes and no part is waited for.
AGREED = frozenset({"repair", "repair_covered"})
READY = frozenset({"ready_told", "ready_not_told"})
OURS_TO_KEEP = frozenset({Whose.OURS, Whose.SUPPLIER})


class Why(StrEnum):
    """What is wrong with a promise."""

    BROKEN = "broken"
    NO_PART = "no_part"
    HELD = "held"
    FORETOLD = "foretold"
    NOBODY = "nobody"


@dataclass(frozen=True)
class Open:
    """An open ticket. ``owes`` is billed and unpaid; ``is_foretold``: such tickets
    usually don't keep the day that it was promised for."""

    pk: int
    turn: Turn
    said_yes: bool = False
    is_foretold: bool = False
    owes: int = 0


@dataclass(frozen=True)
class Promise:
    pk: int
    why: Why
    by: datetime
    part_due: date | None = None


def promises(tickets: Iterable[Open], now: datetime, zone: tzinfo) -> list[Promise]:
    """Broken, or at risk within seven days; only where the house holds them up."""
    found = [
        Promise(one.pk, why, one.turn.promise, _part_due(one.turn))
        for one in tickets
        if one.turn.promise is not None
        and one.turn.whose in OURS_TO_KEEP
        and (why := _why(one, one.turn.promise, now, zone)) is not None
    ]
    return sorted(found, key=lambda one: (one.by, one.pk))


def _why(one: Open, by: datetime, now: datetime, zone: tzinfo) -> Why | None:
    if by < now:
        return Why.BROKEN
    return _risk(one, by, now, zone) if by - now <= WEEK else None


def _risk(one: Open, by: datetime, now: datetime, zone: tzinfo) -> Why | None:
    turn = one.turn
    if turn.waits_for == "parts":
        today, day = (at.astimezone(zone).date() for at in (now, by))
        due = _part_due(turn)
        if due is None or due < today or due >= day:
            return Why.NO_PART
    if turn.part == PARKED or turn.waits_for.startswith("parked_"):
        until = turn.details.get("until")
        if until is None or until >= by:
            return Why.HELD
    if one.is_foretold:
        return Why.FORETOLD
    return Why.NOBODY if turn.part == QUEUE and by - now <= DAY else None


def _part_due(turn: Turn) -> date | None:
    due = turn.details.get("due_on") if turn.waits_for == "parts" else None
    return date.fromisoformat(due) if due else None


def to_go_on(tickets: Iterable[Open]) -> list[Open]:
    """Said yes to, no part is waited for, and nobody has it in hand."""
    return _longest(one for one in _in_queue(tickets) if _is_agreed(one))


def _is_agreed(one: Open) -> bool:
    is_here = one.turn.waits_for == "part_here"
    return one.turn.waits_for in AGREED or (is_here and one.said_yes)


def untouched(
    tickets: Iterable[Open], now: datetime, longer_than: timedelta
) -> list[Open]:
    """In our queue, and nobody has touched it for longer than that."""
    return _longest(
        one for one in _in_queue(tickets) if now - one.turn.since > longer_than
    )


def _in_queue(tickets: Iterable[Open]) -> Iterable[Open]:
    return (
        one
        for one in tickets
        if one.turn.whose == Whose.OURS and one.turn.part == QUEUE
    )


def unanswered(
    tickets: Iterable[Open], now: datetime, longer_than: timedelta
) -> list[Open]:
    """A quote, or more that was found, lies with the customer for longer than that."""
    return _longest(
        one
        for one in tickets
        if _is_asked(one.turn) and now - one.turn.since > longer_than
    )


def _is_asked(turn: Turn) -> bool:
    is_second = turn.waits_for == "parked_customer"
    return turn.waits_for == "answer_to_quote" or (
        is_second and turn.details.get("because") == FOUND_MORE
    )


def not_collected(tickets: Iterable[Open]) -> list[Open]:
    """Ready, still here, and billed with money owing."""
    return _longest(
        one for one in tickets if one.turn.waits_for in READY and one.owes > 0
    )


def _longest(tickets: Iterable[Open]) -> list[Open]:
    return sorted(tickets, key=lambda one: (one.turn.since, one.pk))


# --- work that no invoice carries ---


@dataclass(frozen=True)
class Done:
    """A ticket whose work has ended and that no standing invoice bills.

    ``covered`` is the newest word on its warranty, ``None`` without one; ``fee`` and
    ``reassembly`` are minor units; ``billed_from`` is when its account's month is
    over, ``None`` where it is paid by itself.
    """

    pk: int
    ended_at: datetime
    minutes: int = 0
    has_parts: bool = False
    fee: int = 0
    reassembly: int = 0
    is_warranty: bool = False
    covered: bool | None = None
    is_goodwill: bool = False
    is_declined: bool = False
    no_fix: str = ""  # the shop's rule, where the board could not be mended
    billed_from: datetime | None = None


def unbilled(tickets: Iterable[Done], now: datetime) -> list[Done]:
    """Work to be paid that no invoice carries, and that may be billed by now."""
    found = [one for one in tickets if is_billable(one) and _is_time(one, now)]
    return sorted(found, key=lambda one: (one.ended_at, one.pk))


def _is_time(one: Done, now: datetime) -> bool:
    return one.billed_from is None or one.billed_from <= now


def is_billable(one: Done) -> bool:
    """As papers bill it: nothing that is covered, goodwill, or free where not mended.

    After a no, and by that rule, the fee alone; a fee is asked of a warranty check
    only once it is said not to be covered.
    """
    if one.covered or one.is_goodwill or one.no_fix == "nothing":
        return False
    has_fee = bool(one.fee) and not (one.is_warranty and one.covered is None)
    if one.no_fix == "fee" and not one.is_declined:
        return has_fee
    if one.is_declined:
        return has_fee or bool(one.reassembly)
    return has_fee or one.minutes > 0 or one.has_parts


# --- money ---


@dataclass(frozen=True)
class Paper:
    """What of an invoice is not paid, in minor units of its currency."""

    pk: int
    due_on: date
    currency: str
    owed: int


def long_owed(papers: Iterable[Paper], today: date, days: int) -> list[Paper]:
    """Due for more than so many days, longest first."""
    found = [one for one in papers if (today - one.due_on).days > days and one.owed > 0]
    return sorted(found, key=lambda one: (one.due_on, one.pk))


def sums(papers: Sequence[Paper]) -> dict[str, int]:
    """What is owed, by currency: amounts of two are never added up."""
    found: dict[str, int] = {}
    for one in papers:
        found[one.currency] = found.get(one.currency, 0) + one.owed
    return found
