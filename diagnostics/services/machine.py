"""Machine time: started, and ended. It is never labour."""

import uuid as uuids
from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics import holding
from diagnostics.models import Board, MachineEnd, MachineKind, MachineRun
from diagnostics.refusals import OtherContents
from diagnostics.services.boards import board_put_down
from diagnostics.services.telling import refuse_apart, refuse_closed
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind


@transaction.atomic
def machine_run_start(
    *,
    ticket: Ticket,
    by: Person,
    kind: str,
    board: Board | None = None,
    planned_minutes: int | None = None,
    uuid: uuids.UUID | None = None,
    at: datetime | None = None,
) -> MachineRun:
    """Something is left to run; whose hands the board was in are free again.

    One run of a kind at a time: starting it twice gives the same run. So does the
    same uuid; for another ticket or kind it is refused.
    """
    ticket = Ticket.objects.select_for_update(of=("self",)).get(pk=ticket.pk)
    if kind not in MachineKind.values:
        raise Refused(_("Say what is left to run."), field="kind")
    known = MachineRun.objects.filter(uuid=uuid).first() if uuid else None
    if known is not None:
        if (known.ticket_id, known.kind) != (ticket.pk, kind):
            raise OtherContents
        return known
    refuse_closed(ticket)
    if board is not None:
        refuse_apart(board, ticket)
    at = at or timezone.now()
    running = ticket.machine_runs.filter(kind=kind, end=None).first()
    if running is not None:
        return running
    run = MachineRun.objects.create(
        uuid=uuid or uuids.uuid4(),
        ticket=ticket,
        board=board,
        kind=kind,
        planned_minutes=planned_minutes,
        by=by,
        started_at=at,
    )
    _tell(Kind.MACHINE_STARTED, run, by, at)
    if board is not None and holding.holder_of(board, at) == by.pk:
        board_put_down(board=board, ticket=ticket, by=by, at=at)
    return run


@transaction.atomic
def machine_run_end(
    *, run: MachineRun, by: Person, at: datetime | None = None
) -> MachineEnd:
    """It ended; ended before it began it is refused. Ending twice ends once."""
    MachineRun.objects.select_for_update(of=("self",)).get(pk=run.pk)
    known = MachineEnd.objects.filter(run=run).first()
    if known is not None:
        return known
    at = at or timezone.now()
    if at < run.started_at:
        raise Refused(_("It can’t end before it began."))
    end = MachineEnd.objects.create(run=run, by=by, ended_at=at)
    minutes = int((at - run.started_at).total_seconds() // 60)
    _tell(Kind.MACHINE_ENDED, run, by, at, {"minutes": minutes})
    return end


def _tell(
    kind: Kind,
    run: MachineRun,
    by: Person,
    at: datetime,
    amounts: dict[str, int] | None = None,
) -> None:
    records.event_record(
        kind,
        shop_id=run.ticket.shop_id,
        by_id=by.pk,
        at=at,
        ticket_id=run.ticket_id,
        board_id=run.board_id,
        ids={"machine_run": run.pk},
        codes={"kind": run.kind},
        amounts=amounts,
    )
