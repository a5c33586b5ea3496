"""What is seen of a board without a meter: kept, or struck."""

import uuid as uuids
from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics import queries
from diagnostics.models import Board, Sighting
from diagnostics.refusals import OtherContents
from diagnostics.services.telling import (
    keep_note,
    refuse_apart,
    refuse_closed,
    refuse_unknown_part,
    tell,
)
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event

SAME = ("board_id", "by_id", "kind", "part_id", "rail_id", "place")


@transaction.atomic
def sighting_keep(
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person,
    kind: str,
    part_id: str = "",
    rail_id: str = "",
    place: str = "",
    uuid: uuids.UUID | None = None,
    at: datetime | None = None,
) -> Sighting:
    """Something seen at a part of the family, or at a rail of the board."""
    at, known = at or timezone.now(), queries.known_of(board, at=at)
    refuse_closed(ticket)
    refuse_apart(board, ticket)
    if kind not in Sighting.Kind.values:
        raise Refused(_("Say what you see."), field="kind")
    if bool(part_id) == bool(rail_id):
        raise Refused(_("Say where: at a part, or at a rail."), field="where")
    refuse_unknown_part(known, part_id)
    if rail_id and rail_id not in known.board.rails:
        raise Refused(
            _("This board has no rail “%(id)s”.") % {"id": rail_id[:40]}, field="where"
        )
    row = Sighting(
        uuid=uuid or uuids.uuid4(),
        board=board,
        ticket=ticket,
        epoch=known.epoch,
        kind=kind,
        part_id=part_id,
        rail_id=rail_id,
        place=place.strip(),
        by=by,
        at=at,
    )
    kept = Sighting.objects.filter(uuid=row.uuid).first()
    if kept is not None:
        return _same_or_refuse(kept, row)
    row.save(force_insert=True)
    codes = {"kind": kind, "part": part_id, "rail": rail_id}
    ids = {"sighting": row.pk}
    tell(
        Kind.SIGHTING_KEPT,
        board=board,
        ticket=ticket,
        by=by,
        at=at,
        codes=codes,
        ids=ids,
    )
    return row


def _same_or_refuse(kept: Sighting, row: Sighting) -> Sighting:
    if any(getattr(kept, name) != getattr(row, name) for name in SAME):
        raise OtherContents
    return kept


@transaction.atomic
def sighting_strike(
    *, sighting: Sighting, by: Person, why: str = "", at: datetime | None = None
) -> None:
    """Strike a sighting: it stays in the record and stops counting."""
    board, ticket = sighting.board, sighting.ticket
    Board.objects.select_for_update().get(pk=board.pk)
    if is_struck(sighting):
        return
    note = keep_note(board=board, ticket=ticket, by=by, kind="strike", text=why, at=at)
    tell(
        Kind.SIGHTING_STRUCK,
        board=board,
        ticket=ticket,
        by=by,
        at=at,
        ids={"sighting": sighting.pk},
        note=note,
    )


def is_struck(sighting: Sighting) -> bool:
    events = Event.objects.filter(board_id=sighting.board_id, kind=Kind.SIGHTING_STRUCK)
    return any(one.ids.get("sighting") == sighting.pk for one in events)
