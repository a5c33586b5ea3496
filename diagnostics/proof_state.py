"""How the proof of a ticket stands: rows to plain values, and back to sentences."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from diagnostics import proof, queries
from diagnostics.models import (
    Finding,
    InterventionKind,
    ProofItem,
    Reading,
    ReadingOutcome,
)
from diagnostics.passing import TOUCHES_NO_NET
from diagnostics.proof import Case, Given, HandedIn, Lack, Level, Stand
from shop.intake.models import (
    Answer,
    ClosingKind,
    DeviceKind,
    IntakeKind,
    ThingKind,
    Ticket,
)
from shop.records.kinds import Kind
from shop.records.models import Event

PACK = "k02/pack"
UNSAFE_PACK = frozenset({"swollen", "hot", "smells", "punctured"})
# Nothing that these did can undo what was proved before.
UNDOES_NOTHING = TOUCHES_NO_NET | {InterventionKind.AWAY}
OUTLIVES_WORK = frozenset({ProofItem.Result.WAIVED, ProofItem.Result.NOT_FITTED})


@dataclass(frozen=True)
class ProofState:
    """The proof of one ticket.

    ``level`` is what is asked: as chosen, else as suggested. ``rows`` are those that
    count, in the order of their coming.
    """

    handed: HandedIn
    case: Case
    level: Level
    is_chosen: bool
    rows: tuple[ProofItem, ...]

    @cached_property
    def given(self) -> list[Given]:
        return [given_of(row) for row in self.rows]

    @cached_property
    def stands(self) -> dict[str, Stand]:
        return proof.stands(self.given)

    @cached_property
    def unproved(self) -> tuple[Lack, ...]:
        return proof.still_to_do(self.given, self.handed, self.level, self.case)

    @property
    def reached(self) -> Level:
        return proof.level_of(self.given, self.handed, self.case)


def state_of(ticket: Ticket) -> ProofState:
    rows = standing_rows(ticket)
    case = case_of(ticket, rows)
    chosen = ticket.proof_levels.order_by("-id").first()
    return ProofState(
        handed=handed_in(ticket),
        case=case,
        level=Level(chosen.level) if chosen else case.suggested,
        is_chosen=chosen is not None,
        rows=tuple(rows),
    )


def given_of(row: ProofItem) -> Given:
    return Given(row.item, row.result, row.count, row.minutes, row.part)


def standing_rows(ticket: Ticket) -> list[ProofItem]:
    """What was proved since the last work: before it, it was another board.

    A waiver and what is not fitted outlive the work.
    """
    since = last_work(ticket)
    rows = ticket.proof_items.select_related("by", "note").order_by("id")
    return [
        row
        for row in rows
        if since is None or row.at >= since or row.result in OUTLIVES_WORK
    ]


def last_work(ticket: Ticket) -> datetime | None:
    done = ticket.interventions.exclude(kind__in=UNDOES_NOTHING).order_by("-at")
    return done.values_list("at", flat=True).first()


def handed_in(ticket: Ticket) -> HandedIn:
    """What there is to prove, by what was taken in and what was seen of the pack."""
    kinds = set(ticket.things.values_list("kind", flat=True))
    is_bare = is_bare_board(ticket, kinds)
    pack = _newest_of_pack(ticket)
    is_gone = pack is not None and pack.outcome == ReadingOutcome.NOT_FITTED
    family = queries.boards_of(ticket).values_list("board_model__family", flat=True)
    is_unsafe = ticket.hot_or_swollen == Answer.YES
    return HandedIn(
        family=family.order_by("id").first() or "",
        is_bare_board=is_bare,
        has_pack=ThingKind.PACK in kinds or not (is_bare or is_gone),
        is_pack_unsafe=pack.category in UNSAFE_PACK if pack else is_unsafe,
    )


def is_bare_board(ticket: Ticket, kinds: set[str]) -> bool:
    return (
        ticket.intake_kind == IntakeKind.BOARD_ONLY
        or ticket.device.kind == DeviceKind.BARE_BOARD
        or (ThingKind.BOARD in kinds and ThingKind.MACHINE not in kinds)
    )


def has_no_adapter(ticket: Ticket) -> bool:
    """A machine came, and no adapter with it."""
    kinds = set(ticket.things.values_list("kind", flat=True))
    is_laptop = ticket.device.kind == DeviceKind.LAPTOP
    return is_laptop and bool(kinds) and ThingKind.ADAPTER not in kinds


def _newest_of_pack(ticket: Ticket) -> Reading | None:
    return ticket.readings.filter(point_id=PACK).order_by("-id").first()


def case_of(ticket: Ticket, rows: Sequence[ProofItem]) -> Case:
    """What of this ticket asks for the full proof; an unsure spill counts as one."""
    return Case(
        is_liquid=ticket.liquid in {Answer.YES, Answer.UNSURE},
        is_intermittent=is_intermittent(ticket, rows),
        is_warranty=ticket.is_warranty or ticket.returns_to_id is not None,
        is_second_fault=is_second_fault(ticket),
    )


def is_intermittent(ticket: Ticket, rows: Sequence[ProofItem]) -> bool:
    """A start failed with no work done since, or it was not seen to fail last time."""
    stands = proof.stands(given_of(row) for row in rows).values()
    failed = any(stand.failures for stand in stands)
    before = ticket.returns_to
    ended = getattr(before, "outcome", None) if before else None
    return failed or (ended is not None and ended.kind == ClosingKind.NOT_REPRODUCED)


def is_second_fault(ticket: Ticket) -> bool:
    """Two different causes were found, or more was found after a yes."""
    causes = ticket.findings.filter(cause=Finding.Cause.PART)
    found = set(causes.values_list("part_id", "mode_id", "place"))
    more = Event.objects.filter(ticket_id=ticket.pk, kind=Kind.FOUND_MORE)
    return len(found) > 1 or more.exists()
