"""Work on a board: interventions and findings."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics import holding, queries
from diagnostics.models import (
    Advice,
    Board,
    Finding,
    Intervention,
    InterventionKind,
)
from diagnostics.services.advice import advice_keep
from diagnostics.services.boards import board_take
from diagnostics.services.data import refuse_data_first, refuse_unasked_disk
from diagnostics.services.telling import (
    refuse_apart,
    refuse_closed,
    refuse_unknown_part,
    tell,
)
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.kinds import Kind

BY_HAND = frozenset(InterventionKind) - {InterventionKind.AWAY}


@transaction.atomic
def intervention_do(
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person,
    kind: str,
    part_id: str = "",
    place: str = "",
    disk: str = "",
    at: datetime | None = None,
) -> Intervention:
    """Something was done to the board: its next epoch begins.

    ``disk`` says what is known of an encrypted disk where the act may lock it.
    """
    Board.objects.select_for_update().get(pk=board.pk)
    at, known = at or timezone.now(), queries.known_of(board, at=at)
    refuse_closed(ticket)
    refuse_apart(board, ticket)
    refuse_unknown_part(known, part_id)
    if kind not in BY_HAND:
        raise Refused(_("Say what was done."), field="kind")
    refuse_data_first(known, ticket, kind, part_id)
    refuse_unasked_disk(known, ticket, kind, part_id, disk)
    done = Intervention.objects.create(
        board=board,
        ticket=ticket,
        epoch=known.epoch + 1,
        kind=kind,
        part_id=part_id,
        place=place.strip(),
        disk=disk,
        by=by,
        at=at,
    )
    codes = {"kind": kind, "part": part_id, "disk": disk}
    ids = {"intervention": done.pk, "epoch": done.epoch}
    tell(
        Kind.INTERVENTION_DONE,
        board=board,
        ticket=ticket,
        by=by,
        at=at,
        codes=codes,
        ids=ids,
    )
    if holding.holder_of(board, at) is None:
        board_take(board=board, ticket=ticket, by=by, at=at)
    return done


@transaction.atomic
def finding_confirm(
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person,
    part_id: str = "",
    mode_id: str = "",
    place: str = "",
    cause: str = Finding.Cause.PART,
    is_proven: bool = False,
    at: datetime | None = None,
) -> Finding:
    """A suspect confirmed, or openly not found; proven only after a repair."""
    at, known = at or timezone.now(), queries.known_of(board, at=at)
    refuse_closed(ticket)
    refuse_apart(board, ticket)
    if cause == Finding.Cause.PART:
        refuse_unknown_part(known, part_id, mode_id, is_needed=True)
    if is_proven and not known.work:
        raise Refused(_("Proven means repaired: record first what was done."))
    finding = Finding.objects.create(
        board=board,
        ticket=ticket,
        epoch=known.epoch,
        cause=cause,
        part_id=part_id,
        mode_id=mode_id,
        place=place.strip(),
        is_proven=is_proven,
        by=by,
        at=at,
    )
    advice_keep(
        board=board,
        ticket=ticket,
        by=by,
        moment=Advice.Moment.FINDING_CONFIRMED,
        at=at,
        known=known,
    )
    tell(
        Kind.FINDING_CONFIRMED,
        board=board,
        ticket=ticket,
        by=by,
        at=at,
        codes={"part": part_id, "mode": mode_id, "cause": cause, "proven": is_proven},
        ids={"finding": finding.pk},
    )
    return finding
