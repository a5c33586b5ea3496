"""Readings: taken, struck, and the gates that somebody passes over."""

import uuid as uuids
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any, Required, TypedDict, Unpack

from django.db import transaction
from django.utils import timezone

from diagnostics import calculator_facts, holding, passing, queries, tablets, taking
from diagnostics.bridge import Known
from diagnostics.models import Board, GateOverride, Meter, Reading, ReadingSource
from diagnostics.services.advice import offer_answered
from diagnostics.services.boards import board_take
from diagnostics.services.telling import (
    is_late,
    keep_note,
    refuse_apart,
    refuse_closed,
    tell,
    tell_of_arrival,
)
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.kinds import Kind


class TickFields(TypedDict, total=False):
    """What may be said with ticks beside their answers."""

    source: str
    condition: str | None
    meter: Meter | None
    fitted: Sequence[str]
    tablet_offset_seconds: float | None
    tablet_sequence: int | None


class TakenFields(taking.AskedFields, total=False):
    """One of several readings of a board: what is said of it, and of its taking."""

    point_id: Required[str]
    uuid: uuids.UUID
    taken_at: datetime
    note: str
    source: str
    offered: str
    tablet_offset_seconds: float | None
    tablet_sequence: int | None


def known_held(board: Board, at: datetime) -> Known:
    """What is known of a board that nobody else reads while the transaction lasts."""
    Board.objects.select_for_update().get(pk=board.pk)  # one reading at a time
    return queries.known_of(board, at=at)


def known_with(known: Known, reading: Reading) -> Known | None:
    """What is known now that a reading came; ``None`` where it may change more.

    The first takes the board in hand; one that tells of a part not fitted changes what
    the board has; one that was there before changes nothing.
    """
    is_new = all(reading.pk != one.pk for one in known.readings)
    if known.holder_id is None or reading.outcome in taking.TAPPED or not is_new:
        return None
    readings = sorted(
        (*known.readings, reading), key=lambda one: (one.taken_at, one.pk)
    )
    return replace(known, readings=tuple(readings), now=timezone.now(), worked_out={})


@transaction.atomic
def readings_take(
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person,
    taken: Iterable[TakenFields],
) -> list[Reading]:
    """Keep several readings of one board, in their order, or none of them.

    Each is held against those before it, and the board is loaded once for them all.
    Raises as ``reading_take`` does.
    """
    known, kept = None, []
    for fields in taken:
        at = fields.get("taken_at") or timezone.now()
        known = replace(known, now=at) if known else known_held(board, at)
        timed: TakenFields = {**fields, "taken_at": at}
        reading = reading_take(board=board, ticket=ticket, by=by, known=known, **timed)
        kept.append(reading)
        known = known_with(known, reading)
    return kept


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
    tablet_offset_seconds: float | None = None,
    tablet_sequence: int | None = None,
    known: Known | None = None,
    is_from_paper: bool = False,
    **asked: Unpack[taking.AskedFields],
) -> Reading:
    """Keep one reading as it was typed, with what its verdict will need.

    Raises ``EngineError`` for a value that is none, ``HeldOff`` where a gate
    forbids the check: then nothing is kept. The same uuid again gives the same
    row; with other contents it is refused. ``offered`` is the point that was offered
    as the next best check when the reading was taken. ``known``: what ``known_held``
    gave in this transaction, where it is wanted for more. ``is_from_paper``: it was
    written down and is typed in now, so that nobody has the board in hand by it.
    """
    at = taken_at or timezone.now()
    known = known or known_held(board, at)
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
    row.tablet_offset_seconds = tablet_offset_seconds
    row.tablet_sequence = tablet_sequence
    row.is_late, row.is_confirmed = is_late(ticket), tablets.is_confirmed()
    row.is_from_paper = is_from_paper
    if tablets.has_waited() or is_from_paper:
        row.epoch = known.epoch_at(at)
    row.taken_at, row.note = (
        at,
        keep_note(board=board, ticket=ticket, by=by, kind="reading", text=note, at=at),
    )
    if row.lead_ohms is None and taking.needs_leads(row):
        row.lead_ohms = queries.lead_ohms(board.shop, by, row.meter, at)
    row.save(force_insert=True)
    tell_of_arrival(board=board, ticket=ticket, by=by, at=at, reading_id=row.pk)
    if source == ReadingSource.OURS and offered:
        offer_answered(known, row, offered=offered, at=at)
    if source == ReadingSource.OURS and takes_in_hand(known, row):
        board_take(board=board, ticket=ticket, by=by, at=at)
    return row


def takes_in_hand(known: Known, reading: Reading) -> bool:
    """The first reading takes a board that nobody holds, unless it went home."""
    before = (event for event in known.hands if event.at <= reading.taken_at)
    is_news = not reading.is_late and not reading.is_from_paper
    return is_news and holding.holder_in(before) is None


@transaction.atomic
def readings_tick(
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person,
    answers: Mapping[str, str],
    uuid: uuids.UUID | None = None,
    taken_at: datetime | None = None,
    note: str = "",
    offered: str = "",
    **asked: Unpack[TickFields],
) -> list[Reading]:
    """Keep the answer of every ticked point, each a reading, or none of them.

    Each has a uuid of its own, made from ``uuid`` and its point, so that the same
    ticks sent again give the same rows. Raises as ``reading_take`` does.
    """
    act, at = uuid or uuids.uuid4(), taken_at or timezone.now()
    told_at = offered if offered in answers else next(iter(answers), "")
    ticks: list[Any] = [
        {
            "point_id": point_id,
            "uuid": uuids.uuid5(act, point_id),
            "taken_at": at,
            "category": answer,
            "note": note if point_id == told_at else "",
            "offered": offered if point_id == told_at else "",
            **asked,
        }
        for point_id, answer in answers.items()
    ]
    return readings_take(board=board, ticket=ticket, by=by, taken=ticks)


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
