"""The open checks as offers: what is held off is never one. PURE.

A check behind an unread gate is worth its own information, less the minutes of all
that comes before it; what is offered is the first of these. Going to another
condition pays for several checks there: their information and minutes are added up,
best first, as long as that raises the rate.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from math import fsum, log

from diagnostics.engine.asks import Ask, Outlook
from diagnostics.engine.assessment import Key, Offer
from diagnostics.engine.changes import minutes_to
from diagnostics.engine.circuit.parts import split
from diagnostics.engine.evidence import Situation
from diagnostics.engine.family import Check
from diagnostics.engine.models import Model, minutes_at
from diagnostics.engine.reasons import Reason, reason

LEAST_NATS = 1e-3
KEPT = 8  # offers
PLANNED = 6  # checks that one change of condition is planned for
TOLD_APART = 0.3
LOOKED_AT, NAMED = 6, 3  # suspects that a check may tell from the first


@dataclass(frozen=True)
class Plan:
    """An offer with the rate of what it opens, nats a minute."""

    offer: Offer
    rate: float


@dataclass(frozen=True)
class Planner:
    """What may be done now, and what it is worth."""

    model: Model
    outlook: Outlook
    situation: Situation

    @cached_property
    def plans(self) -> list[Plan]:
        """The best plans first, each first check once."""
        found: dict[str, Plan] = {}
        for ask in self._asks:
            chain = chain_to(self.model, self.situation, ask.point) or [ask.point]
            plan = Plan(self._offer(ask, chain), self._rate(ask, chain))
            known = found.get(plan.offer.point_id, plan)
            found[plan.offer.point_id] = max(plan, known, key=lambda one: one.rate)
        ranked = sorted(found.values(), key=lambda one: (-one.rate, one.offer.point_id))
        return ranked[:KEPT]

    @cached_property
    def _asks(self) -> list[Ask]:
        return [ask for ask in self.outlook.asks() if ask.information > LEAST_NATS]

    @cached_property
    def _left(self) -> float:
        """Nats that are unknown yet."""
        return -fsum(p * log(p) for p in self.outlook.shares.tolist() if p > 0)

    # --- what it is worth

    def _rate(self, ask: Ask, chain: list[str]) -> float:
        """Of this check, or of several that its change of condition opens."""
        board = self.model.board
        before = fsum(minutes_at(board, point) for point in chain[:-1])
        before += minutes_to(self.situation.condition, self._check(ask.point).condition)
        nats, minutes = ask.information, before + minutes_at(board, ask.point)
        best = nats / minutes
        for other in self._beside(ask) if before else ():
            nats = min(self._left, nats + other.information)
            minutes += minutes_at(board, other.point)
            best = max(best, nats / minutes)
        return best

    def _beside(self, ask: Ask) -> list[Ask]:
        """The best other asks in the condition of this one."""
        same = self._by_condition[self._check(ask.point).condition][: PLANNED + 1]
        return [other for other in same if other != ask][:PLANNED]

    @cached_property
    def _by_condition(self) -> dict[str, list[Ask]]:
        found: dict[str, list[Ask]] = {}
        for ask in self._asks:
            found.setdefault(self._check(ask.point).condition, []).append(ask)
        return found

    def _check(self, point_id: str) -> Check:
        board = self.model.board
        return board.check(board.point(point_id).check)

    # --- the offer

    def _offer(self, ask: Ask, chain: list[str]) -> Offer:
        first = chain[0]
        why = self.why(first) if first == ask.point else self._on_the_way(ask.point)
        return self._made(first, ask.information, why)

    def offer_of(self, point: str) -> Offer:
        """An open check as an offer, whatever it is worth."""
        chain = chain_to(self.model, self.situation, point) or [point]
        nats = next((ask.information for ask in self._asks if ask.point == point), 0.0)
        return self._offer(Ask(point, nats, 0.0), chain)

    def _made(self, point: str, nats: float, why: Reason) -> Offer:
        check = self._check(point)
        change = minutes_to(self.situation.condition, check.condition)
        minutes = minutes_at(self.model.board, point) + change
        return Offer(point, check.id, nats, minutes, change > 0, why)

    def _on_the_way(self, point: str) -> Reason:
        return reason("gate_of", check=self._check(point).id)

    def why(self, point: str) -> Reason:
        """Which of the likeliest suspects the check tells from the first."""
        at = self.outlook.asker.points.index(point)
        rows = [self.model.rows_of[key] for key in self.leading]
        far = self.outlook.apart_at(at, rows).tolist()
        apart = [
            k for k, one in zip(self.leading, far, strict=True) if one > TOLD_APART
        ]
        keys = [key for key in (*self.leading[:1], *apart[:NAMED]) if key[0]]
        named = ", ".join(":".join(key) for key in keys)
        if not apart or not named:
            return reason("narrows_down")
        is_of_good = len(keys) < 1 + len(apart[:NAMED])
        return reason("no_fault_or" if is_of_good else "tells_apart", suspects=named)

    @cached_property
    def leading(self) -> list[Key]:
        """The likeliest ways of failing, no fault among them."""
        sums: dict[Key, float] = {}
        shares = self.outlook.shares.tolist()
        for row, share in zip(self.outlook.likely.tolist(), shares, strict=True):
            part, mode, _place = split(self.model.faults[row])
            sums[part, mode] = sums.get((part, mode), 0.0) + share
        return sorted(sums, key=lambda key: (-sums[key], key))[:LOOKED_AT]


# --- what comes first ----------------------------------------------------------------


def chain_to(model: Model, situation: Situation, point: str) -> list[str] | None:
    """The points to read, in order, up to this one; ``None`` where it is held off
    by what no reading can free."""
    chain = [point]
    while (before := _comes_before(model, situation, chain[0])) is not None:
        unread = _unread(model, situation, before)
        if not unread or unread[0] in chain:
            return None
        chain = [*unread, *chain]
    return chain


def _comes_before(model: Model, situation: Situation, point: str) -> str | None:
    """The check that frees a held one, or the first power before any other."""
    check_id = model.board.point(point).check
    if check_id in situation.held:
        return situation.held[check_id]
    if not model.board.check(check_id).is_powered or situation.condition != "U":
        return None
    firsts = [one for one in _needed(model, check_id) if _is_first_power(model, one)]
    return next((one for one in firsts if _unread(model, situation, one)), None)


def _needed(model: Model, check_id: str) -> Iterator[str]:
    """All that comes before a check, the earliest first."""
    for needed in model.board.check(check_id).needs:
        yield from _needed(model, needed)
        yield needed


def _is_first_power(model: Model, check_id: str) -> bool:
    """A powered check that needs no powered one before it."""
    check, checks = model.board.check(check_id), model.board.checks
    return check.is_powered and not any(checks[n].is_powered for n in check.needs)


def _unread(model: Model, situation: Situation, check_id: str) -> list[str]:
    if not check_id:
        return []
    return [
        point.id
        for point in model.board.fitted_points(check_id)
        if point.id not in situation.passed_by
    ]
