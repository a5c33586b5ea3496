"""Readings that were written on a bench sheet while the house was away."""

import uuid as uuids
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from django.db import transaction
from django.db.models import QuerySet

from diagnostics.engine.errors import EngineError
from diagnostics.models import Board, Meter, Reading
from diagnostics.services.readings import reading_take
from diagnostics.services.telling import tell
from diagnostics.words import error_sentence
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.kinds import Kind


@dataclass(frozen=True)
class Line:
    """One line of the sheet; ``uuid`` is its own, so that it is kept once."""

    uuid: uuids.UUID
    at: datetime
    point_id: str
    typed: str
    polarity: str = ""
    note: str = ""


@transaction.atomic
def sheet_type_in(
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person,
    read_by: Person,
    lines: Sequence[Line],
    meter: Meter | None = None,
    lead_ohms: float | None = None,
) -> dict[uuids.UUID, str]:
    """Keep each line as a reading of whoever took it, at its time; why some were not.

    In the order of their times, so that a gate stands for what was read after it.
    """
    known = set(_kept(lines).values_list("uuid", flat=True))
    refused: dict[uuids.UUID, str] = {}
    for line in sorted(lines, key=lambda one: one.at):
        why = _refusal(
            partial(
                reading_take,
                board=board,
                ticket=ticket,
                by=read_by,
                point_id=line.point_id,
                uuid=line.uuid,
                taken_at=line.at,
                typed=line.typed,
                polarity=line.polarity or None,
                note=line.note,
                meter=meter,
                lead_ohms=lead_ohms,
                is_from_paper=True,
            )
        )
        if why:
            refused[line.uuid] = why
    new = _kept(lines).exclude(uuid__in=known).count()
    if new:
        tell(
            Kind.SHEET_TYPED_IN,
            board=board,
            ticket=ticket,
            by=by,
            at=None,
            person=read_by,
            codes={"count": new},
        )
    return refused


def _kept(lines: Sequence[Line]) -> QuerySet[Reading]:
    return Reading.objects.filter(uuid__in=[line.uuid for line in lines])


def _refusal(act: Callable[[], object]) -> str:
    """Why this line alone was not kept, or ""."""
    try:
        with transaction.atomic():
            act()
    except EngineError as error:
        return error_sentence(error)
    except Refused as refused:
        return str(refused)
    return ""
