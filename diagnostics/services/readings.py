"""Readings: taken, struck, and the gates that somebody passes over."""

import uuid as uuids
from datetime import datetime
from typing import Unpack

from django.db import transaction
from django.utils import timezone

from diagnostics import calculator_facts, holding, passing, queries, taking
from diagnostics.models import Board, GateOverride, Reading, ReadingSource
from diagnostics.services.advice import offer_answered
from diagnostics.services.boards import board_take
from diagnostics.services.telling import keep_note, refuse_apart, refuse_closed, tell
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.kinds import Kind


@transaction.atomic
def reading_take(
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person,
    point_id: str,
    uuid: uuids.UUID | None = None,
    taken_at: datetime | None = None,
    note: str = "",
    source: str = ReadingSource.OURS,
    offered: str = "",
    **asked: Unpack[taking.AskedFields],
) -> Reading:
    """Keep one reading as it was typed, with what its verdict will need.

    Raises ``EngineError`` for a value that is none, ``HeldOff`` where a gate
    forbids the check: then nothing is kept. The same uuid again gives the same
    row; with other contents it is refused. ``offered`` is the point that was offered
    as the next best check when the reading was taken.
    """
    at = taken_at or timezone.now()
    Board.objects.select_for_update().get(pk=board.pk)  # one reading at a time
    known = queries.known_of(board, at=at)
    refuse_apart(board, ticket)
    row = taking.draft(known, point_id, by, taking.Asked(**asked))
    kept = Reading.objects.filter(uuid=uuid).first() if uuid else None
    if kept is not None:
        return taking.same_or_refuse(kept, row)
    if source == ReadingSource.OURS:
        refuse_closed(ticket)
        passing.refuse_held_off(known, row)
        passing.limit_power(known, row)
        calculator_facts.refuse_injection(known, row)
    row.uuid, row.ticket, row.source = uuid or uuids.uuid4(), ticket, source
    row.taken_at, row.note = (
        at,
        keep_note(board=board, ticket=ticket, by=by, kind="reading", text=note, at=at),
    )
    if row.lead_ohms is None and taking.needs_leads(row):
        row.lead_ohms = queries.lead_ohms(board.shop, by, row.meter, at)
    row.save(force_insert=True)
    if source == ReadingSource.OURS and offered:
        offer_answered(known, row, offered=offered, at=at)
    if source == ReadingSource.OURS and holding.holder_of(board, at) is None:
        board_take(board=board, ticket=ticket, by=by, at=at)
    return row


@transaction.atomic
def reading_strike(
    *, reading: Reading, by: Person, why: str = "", at: datetime | None = None
) -> None:
    """Strike a reading: it stays in the record and stops counting."""
    if queries.is_struck(reading):
        return
    note = keep_note(
        board=reading.board,
        ticket=reading.ticket,
        by=by,
        kind="strike",
        text=why,
        at=at,
    )
    tell(
        Kind.READING_STRUCK,
        board=reading.board,
        ticket=reading.ticket,
        by=by,
        at=at,
        reading_id=reading.pk,
        note=note,
    )


@transaction.atomic
def gate_overrule(
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person,
    check_id: str,
    gate_id: str,
    chip: str,
    limit_amps: float | None = None,
    words: str = "",
    at: datetime | None = None,
) -> GateOverride:
    """Pass an unread or unclear gate, with name and reason; never a bad one."""
    known = queries.known_of(board, at=at)
    passing.refuse_overrule(known, check_id, gate_id, chip, limit_amps)
    override = GateOverride.objects.create(
        board=board,
        ticket=ticket,
        epoch=known.epoch,
        check_id=check_id,
        gate_id=gate_id,
        chip=chip,
        limit_amps=limit_amps,
        note=keep_note(
            board=board, ticket=ticket, by=by, kind="gate", text=words, at=at
        ),
        by=by,
        at=at or timezone.now(),
    )
    codes = {"check": check_id, "gate": gate_id, "chip": chip}
    tell(Kind.GATE_OVERRULED, board=board, ticket=ticket, by=by, at=at, codes=codes)
    return override
