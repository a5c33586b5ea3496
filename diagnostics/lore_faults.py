"""The faults found on a board model: which parts, how often, what showed them first.

Only what a repair proved counts, on tickets that did not end otherwise than fixed; the
same part twice on one ticket counts once.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from django.db.models import Q

from diagnostics import bridge, lore, sayings, words
from diagnostics.bridge import HOUSEKEEPING
from diagnostics.engine.boards import Board as EngineBoard
from diagnostics.lore import Patches
from diagnostics.lore_minutes import Minutes, minutes_of
from diagnostics.lore_rules import Facts, judged_of, repaired_in
from diagnostics.models import BoardModel, Finding
from shop.intake.models import ClosingKind, Ticket
from shop.records.cache import cache

MOST_SIGNS = 3
NEWEST = 8
COLUMNS = ("board_id", "part_id", "mode_id", "ticket__number")
ENDED_OTHERWISE = Q(ticket__outcome__isnull=False) & ~Q(
    ticket__outcome__kind=ClosingKind.FIXED
)
Cause = tuple[str, str]


@dataclass(frozen=True)
class First:
    """The first bad value before a repair, and at which point."""

    point_id: str
    value: float
    unit: str


@dataclass(frozen=True)
class Sign:
    """A point that showed a fault first: how often, and between which values."""

    title: str
    times: int
    values: str


@dataclass(frozen=True)
class Fault:
    """A part and its way of failing on one board model."""

    part: str
    title: str
    findings: tuple[Finding, ...]
    minutes: Minutes | None
    signs: tuple[Sign, ...]

    @property
    def times(self) -> int:
        return len(self.findings)

    @property
    def newest(self) -> list[Ticket]:
        return self.tickets[:NEWEST]

    @property
    def older(self) -> int:
        return len(self.tickets[NEWEST:])

    @cached_property
    def tickets(self) -> list[Ticket]:
        """Newest first."""
        found = {one.ticket.pk: one.ticket for one in self.findings if one.ticket}
        return [found[pk] for pk in sorted(found, reverse=True)]


def faults_of(
    model: BoardModel,
    board: EngineBoard,
    patches: Patches,
    minutes: Mapping[int, int],
    now: datetime,
) -> list[Fault]:
    """The commonest first; ``minutes`` of people by ticket id.

    A ticket with two causes tells of neither how long it took.
    """
    by_cause: dict[Cause, list[Finding]] = {}
    for finding in proven(model, now):
        by_cause.setdefault((finding.part_id, finding.mode_id), []).append(finding)
    causes = Counter(f.ticket_id for found in by_cause.values() for f in found)
    firsts = first_bads(model, patches, now)
    return sorted(
        (
            Fault(
                part=part_name(board, part_id),
                title=sayings.suspect_title(board, part_id, mode_id),
                findings=tuple(found),
                minutes=minutes_of(
                    minutes.get(f.ticket_id or 0, 0)
                    for f in found
                    if causes[f.ticket_id] == 1
                ),
                signs=signs(board, [firsts[f.pk] for f in found if f.pk in firsts]),
            )
            for (part_id, mode_id), found in by_cause.items()
        ),
        key=lambda fault: (-fault.times, -fault.findings[-1].pk),
    )


def proven(model: BoardModel, now: datetime) -> Iterable[Finding]:
    """One of each board that counts, ticket and cause, oldest first."""
    boards = lore.boards_counted([model.pk], now)
    rows = (
        Finding.objects.filter(
            board__in=boards.values("pk"),
            cause=Finding.Cause.PART,
            is_proven=True,
        )
        .exclude(ENDED_OTHERWISE)
        .select_related("ticket")
        .only(*COLUMNS)
        .order_by("id")
    )
    return {
        (row.board_id, row.ticket_id, row.part_id, row.mode_id): row for row in rows
    }.values()


def part_name(board: EngineBoard, part_id: str) -> str:
    part = board.parts.get(part_id)
    return sayings.family_text(part.name) if part else part_id


# --- what showed it -----------------------------------------------------------------


def signs(board: EngineBoard, firsts: Sequence[First]) -> tuple[Sign, ...]:
    """The points that showed it first, the most telling before the others."""
    by_point: dict[str, list[First]] = {}
    for first in firsts:
        by_point.setdefault(first.point_id, []).append(first)
    told = [
        Sign(title_of(board, point_id), len(found), _span(found))
        for point_id, found in by_point.items()
    ]
    return tuple(sorted(told, key=lambda sign: -sign.times)[:MOST_SIGNS])


def title_of(board: EngineBoard, point_id: str) -> str:
    point = board.points.get(point_id)
    if point is None:
        return point_id
    return sayings.row_title(board, board.check(point.check), point)


def _span(firsts: Sequence[First]) -> str:
    values = [one.value for one in firsts]
    return words.span(min(values), max(values), firsts[0].unit)


def first_bads(model: BoardModel, patches: Patches, now: datetime) -> dict[int, First]:
    """By finding id; kept board by board, like what the good ones read."""
    boards = lore.boards_by_key(model, patches.get(model.pk, {}), now)
    keys = {f"first-{key}": board for key, board in boards.items()}
    kept: dict[str, dict[int, First]] = cache.get_many(keys)
    missing = {key: board for key, board in keys.items() if key not in kept}
    if missing:
        facts = lore.facts_of(list(missing.values()))
        engine_board = bridge.engine_board(model.family, patches.get(model.pk, {}))
        made = {
            key: dict(_of_board(engine_board, facts[board.pk]))
            for key, board in missing.items()
        }
        cache.set_many(made, lore.KEPT_SECONDS)
        kept |= made
    return {pk: first for of_board in kept.values() for pk, first in of_board.items()}


def _of_board(board: EngineBoard, facts: Facts) -> Iterable[tuple[int, First]]:
    if not any(one.is_proven for one in facts.findings):
        return
    bad = [
        one
        for one in judged_of(board, facts)
        if one.check.id not in HOUSEKEEPING and one.verdict.word.value == "bad"
    ]
    for finding in facts.findings:
        before = (
            one
            for one in bad
            if one.reading.ticket_id == finding.ticket_id
            and one.reading.epoch < repaired_in(facts, finding)
        )
        first = min(before, key=lambda one: one.reading.taken_at, default=None)
        if first is not None:
            row = first.reading
            net = bridge.observed(row).net
            assert net is not None  # facts hold values alone
            yield finding.pk, First(row.point_id, net, row.unit)
