"""A promise suggested from the shop's own tickets, and one that is about to break."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from shop.intake.models import ClosingKind, Outcome, Ticket
from shop.intake.promise import (
    PROMISED_SHARE,
    USUAL_SHARE,
    Stay,
    Usual,
    ready_count,
    usual,
)
from shop.intake.turn import Turn, Whose
from shop.people.hours import Hours, end_of_working_day, open_on
from shop.people.models import Shop
from shop.people.open_time import OpenTime
from shop.people.opening_hours import hours_of
from shop.records.cache import cache

LOOKED_BACK, LOOKED_AHEAD = timedelta(days=365), timedelta(days=400)
MOST = 2000  # of the newest tickets
WORKING_DAYS = 5  # promised until there is history
HOUR = timedelta(hours=1)
KEPT = 600  # seconds
COLUMNS = ("pk", "device__kind", "opened_at", "outcome__at", "outcome__kind")
# Whoever holds the promise up, it is not us: the day is agreed anew with them.
NOT_OURS = frozenset({Whose.CUSTOMER, Whose.HANDOVER, Whose.NOBODY})
FamiliesOf = Callable[[Sequence[int]], Mapping[int, str]]
_families: list[FamiliesOf] = []


def families_by(act: FamiliesOf) -> None:
    """A later room knows the family of tickets' boards, by ticket id."""
    _families.append(act)


@dataclass(frozen=True)
class Suggestion:
    """By when one taken in now may be promised, and how many tickets say so.

    ``is_usual``: from what they took; else five working days, until there are enough.
    """

    by: datetime
    count: int
    is_usual: bool
    alike: str = ""


@dataclass(frozen=True)
class Breaking:
    """A promise that such tickets usually don't keep, in hours the shop is open.

    ``still`` is ``None`` where hardly any ticket was ever as old and still open.
    """

    by: datetime
    left: float
    still: float | None
    count: int


@dataclass(frozen=True)
class History:
    """What the shop's tickets of a year took until now."""

    hours: Hours
    clock: OpenTime
    now: datetime
    stays: Sequence[Stay]
    families: Mapping[int, str]

    def alike(self, ticket: Ticket) -> tuple[str, ...]:
        return _alike(self.families.get(ticket.pk), ticket.device.kind)

    def age(self, ticket: Ticket) -> float:
        return self.clock.between(ticket.opened_at, self.now) / HOUR


def history_of(shop: Shop, now: datetime) -> History:
    """Worked out anew when a ticket came or ended, and every ten minutes."""
    tickets = Ticket.objects.filter(shop=shop).order_by("-id")
    # Of every shop here: asked for one, SQLite sorts all outcomes that it ever had.
    outcomes = Outcome.objects.order_by("-id")
    newest = [rows.values_list("pk", flat=True).first() for rows in (tickets, outcomes)]
    part_of_day = int(now.timestamp() // KEPT)
    key = f"stays:{shop.pk}:{shop.version}:{newest}:{part_of_day}".replace(" ", "")
    history: History | None = cache.get(key)
    if history is None:
        history = _history(shop, now)
        cache.set(key, history, KEPT)
    return replace(history, now=now)


def _history(shop: Shop, now: datetime) -> History:
    """With a query each for tickets, their boards, the week and the closed days."""
    hours = hours_of(shop)
    first, last = (
        at.astimezone(shop.zone).date()
        for at in (now - LOOKED_BACK, now + LOOKED_AHEAD)
    )
    clock = OpenTime(hours, first, last)
    rows = (
        Ticket.objects.filter(
            shop=shop, opened_at__gte=now - LOOKED_BACK, opened_at__lte=now
        )
        .filter(old_number="")
        .exclude(handover__is_undone=True)
        .exclude(handover__isnull=False, outcome=None)
        .order_by("-id")
    )
    newest = list(rows.values_list(*COLUMNS)[:MOST])
    pks = [row[0] for row in newest]
    families = {pk: name for of in _families for pk, name in of(pks).items()}
    stays = [_stay(clock, now, families, row) for row in newest]
    return History(hours, clock, now, stays, families)


def _alike(family: str | None, kind: str) -> tuple[str, ...]:
    return (family, kind) if family else (kind,)


def _stay(
    clock: OpenTime, now: datetime, families: Mapping[int, str], row: tuple[Any, ...]
) -> Stay:
    """What the customer called off is no turnaround: it would have taken longer."""
    pk, kind, opened_at, ended_at, ended = row
    end = min(ended_at or now, now)
    is_ready = ended_at is not None and ended != ClosingKind.DECLINED
    span = clock.between(opened_at, end) / HOUR
    return Stay(span, is_ready, _alike(families.get(pk), kind))


def suggest(
    history: History, alike: Sequence[str], *, age: float = 0.0
) -> Suggestion | None:
    """By when; ``None`` where the shop has no opening hours for so long.

    A day is promised, not a minute: until the shop closes on it.
    """
    took = usual(history.stays, alike)
    plain = end_of_working_day(history.hours, history.now, WORKING_DAYS)
    if plain is None:
        return None
    if took is None:
        return Suggestion(plain, ready_count(history.stays), is_usual=False)
    span = max((took.takes(PROMISED_SHARE, age) or took.longest) - age, 0.0)
    at = history.clock.after(history.now, span * HOUR)
    by = None if at is None else _closing_of_day(history.hours, at)
    if by is None:
        return None
    return Suggestion(by, took.count, is_usual=True, alike=took.alike)


def _closing_of_day(hours: Hours, at: datetime) -> datetime | None:
    stretches = open_on(hours, at.astimezone(hours.zone).date())
    return stretches[-1][1] if stretches else None


def suggestion_at_intake(shop: Shop, now: datetime, kind: str) -> Suggestion | None:
    return suggest(history_of(shop, now), (kind,))


def suggestion_of(ticket: Ticket, now: datetime) -> Suggestion | None:
    """For one that is here already: what is left of it by its age."""
    history = history_of(ticket.shop, now)
    return suggest(history, history.alike(ticket), age=history.age(ticket))


def breaking(
    shop: Shop, tickets: Sequence[Ticket], turns: Mapping[int, Turn], now: datetime
) -> dict[int, Breaking]:
    """Which of these tickets' promises will usually break, by ticket id.

    Asks the database only where a day is promised that is not over.
    """
    promised = [t for t in tickets if _is_promised(turns[t.pk], now)]
    if not promised:
        return {}
    history = history_of(shop, now)
    kinds = {ticket.device.kind for ticket in promised}
    took = {kind: usual(history.stays, kind) for kind in kinds}
    found = {
        ticket.pk: _breaking(
            history, took[ticket.device.kind], ticket, turns[ticket.pk]
        )
        for ticket in promised
    }
    return {pk: one for pk, one in found.items() if one is not None}


def _is_promised(turn: Turn, now: datetime) -> bool:
    is_ahead = turn.ready_by is not None and turn.ready_by > now
    return is_ahead and turn.whose not in NOT_OURS


def _breaking(
    history: History, took: Usual | None, ticket: Ticket, turn: Turn
) -> Breaking | None:
    if took is None or turn.ready_by is None:
        return None
    age = history.age(ticket)
    left = history.clock.between(history.now, turn.ready_by) / HOUR
    until = took.takes(USUAL_SHARE, age)
    if until is not None and until - age <= left:
        return None
    still = None if until is None else until - age
    return Breaking(turn.ready_by, left, still, took.count)
