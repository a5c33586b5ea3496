"""Along the walk: how the board stands now, and what was passed by."""

import uuid as uuids
from collections.abc import Sequence
from datetime import datetime
from typing import TypeVar

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics import calculator_facts, holding, passing, queries, taking
from diagnostics.bridge import Known
from diagnostics.models import Board, ConditionSet, PassedBy, Reading
from diagnostics.refusals import OtherContents
from diagnostics.services.boards import board_take
from diagnostics.services.telling import keep_note, refuse_apart, refuse_closed
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused

MOST_VOLTS, MOST_AMPS = 60.0, 20.0  # of a bench supply (jd)
Row = TypeVar("Row", ConditionSet, PassedBy)
SAME_STAND = ("board_id", "check_id", "condition", "by_id")
SAME_SKIP = ("board_id", "check_id", "why", "by_id")


@transaction.atomic
def condition_set(
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person,
    check_id: str,
    condition: str | None = None,
    fitted: Sequence[str] = (),
    supply_volts: float | None = None,
    supply_limit_amps: float | None = None,
    uuid: uuids.UUID | None = None,
    at: datetime | None = None,
) -> ConditionSet:
    """The board is so now, for this check; its own condition unless another is said.

    Raises ``HeldOff`` where a gate forbids the check: power is held off like a
    powered reading. The same uuid again gives the same row.
    """
    Board.objects.select_for_update().get(pk=board.pk)
    at, known = at or timezone.now(), queries.known_of(board, at=at)
    refuse_apart(board, ticket)
    check = known.board.check(check_id)
    row = ConditionSet(
        uuid=uuid or uuids.uuid4(),
        board=board,
        ticket=ticket,
        epoch=known.epoch,
        check_id=check.id,
        condition=taking.condition_of(check, condition),
        fitted=sorted(fitted),
        supply_volts=supply_volts,
        supply_limit_amps=supply_limit_amps,
        by=by,
        at=at,
    )
    kept = ConditionSet.objects.filter(uuid=row.uuid).first()
    if kept is not None:
        return _same(kept, row, SAME_STAND)
    refuse_closed(ticket)
    _refuse_unset(row)
    _refuse_as_a_reading(known, row)
    row.save(force_insert=True)
    if holding.holder_of(board) is None:
        board_take(board=board, ticket=ticket, by=by, at=at)
    return row


def _refuse_unset(row: ConditionSet) -> None:
    if row.condition not in ConditionSet.Condition.values:
        raise Refused(_("This check is taken with the board as it is."))
    volts, amps = row.supply_volts, row.supply_limit_amps
    if volts is not None and not 0 <= volts <= MOST_VOLTS:
        text = _("A bench supply is set to between 0 and %(most)g V.")
        raise Refused(text % {"most": MOST_VOLTS}, field="supply_volts")
    if amps is not None and not 0 < amps <= MOST_AMPS:
        text = _("A current limit lies between 0 and %(most)g A.")
        raise Refused(text % {"most": MOST_AMPS}, field="supply_limit_amps")


def _refuse_as_a_reading(known: Known, row: ConditionSet) -> None:
    """What holds for a reading of the check in this condition holds for setting it."""
    points = known.board.fitted_points(row.check_id)
    reading = Reading(
        check_id=row.check_id,
        point_id=points[0].id if points else "",
        condition=row.condition,
        supply_volts=row.supply_volts,
        supply_limit_amps=row.supply_limit_amps,
    )
    passing.refuse_held_off(known, reading)
    passing.limit_power(known, reading)
    calculator_facts.refuse_injection(known, reading)
    row.supply_limit_amps = reading.supply_limit_amps


@transaction.atomic
def check_pass_by(
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person,
    check_id: str,
    why: str,
    words: str = "",
    uuid: uuids.UUID | None = None,
    at: datetime | None = None,
) -> PassedBy:
    """A check is passed by, and why; ``after_all`` takes that back. Opens no gate."""
    Board.objects.select_for_update().get(pk=board.pk)
    at, known = at or timezone.now(), queries.known_of(board, at=at)
    refuse_apart(board, ticket)
    row = PassedBy(
        uuid=uuid or uuids.uuid4(),
        board=board,
        ticket=ticket,
        epoch=known.epoch,
        check_id=known.board.check(check_id).id,
        why=why,
        by=by,
        at=at,
    )
    kept = PassedBy.objects.filter(uuid=row.uuid).first()
    if kept is not None:
        return _same(kept, row, SAME_SKIP)
    refuse_closed(ticket)
    if why not in PassedBy.Why.values:
        raise Refused(_("Say why it is passed by."), field="why")
    if why == PassedBy.Why.IN_WORDS and not words.strip():
        raise Refused(_("Another reason needs its words."), field="words")
    row.note = keep_note(
        board=board, ticket=ticket, by=by, kind="passed_by", text=words, at=at
    )
    row.save(force_insert=True)
    return row


def _same(kept: Row, row: Row, names: Sequence[str]) -> Row:
    """What is kept already, where it says the same."""
    if any(getattr(kept, name) != getattr(row, name) for name in names):
        raise OtherContents
    return kept
