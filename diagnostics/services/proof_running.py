"""What of the proof runs by itself: started with one tap, answered when it is over."""

import uuid as uuids
from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics import proof, proof_runs, queries
from diagnostics.models import MachineEnd, MachineRun, ProofItem
from diagnostics.proof_state import state_of
from diagnostics.services.machine import machine_run_end, machine_run_start
from diagnostics.services.proving import proof_item_record
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused


@transaction.atomic
def proof_run_start(
    *,
    ticket: Ticket,
    by: Person,
    item: str,
    uuid: uuids.UUID | None = None,
    at: datetime | None = None,
) -> MachineRun:
    """Leave the machine to run, for as long as the level asks."""
    if item not in proof.ITEMS or not proof.ITEMS[item].is_left_alone:
        raise Refused(_("This does not run by itself."), field="item")
    at = at or timezone.now()
    boards = list(queries.boards_of(ticket)[:2])
    level = state_of(ticket).level
    return machine_run_start(
        ticket=ticket,
        by=by,
        kind=item,
        board=boards[0] if len(boards) == 1 else None,
        planned_minutes=proof_runs.planned_minutes(item, level, ticket.shop, at),
        uuid=uuid,
        at=at,
    )


@transaction.atomic
def proof_run_answer(
    *,
    run: MachineRun,
    by: Person,
    result: str,
    words: str = "",
    at: datetime | None = None,
) -> ProofItem:
    """What happened: it passed or failed, with as many minutes as it truly ran."""
    run = MachineRun.objects.select_for_update(of=("self",)).get(pk=run.pk)
    if result not in {ProofItem.Result.PASSED, ProofItem.Result.FAILED}:
        raise Refused(_("Say how it went."), field="result")
    if result == ProofItem.Result.FAILED and not words.strip():
        raise Refused(_("Say what happened."), field="words")
    at = at or timezone.now()
    end = MachineEnd.objects.filter(run=run).first()
    if end is None:
        end = machine_run_end(run=run, by=by, at=at)
    seen = proof_runs.Run(run, end.ended_at)
    if result == ProofItem.Result.PASSED and not seen.may_pass:
        raise Refused(
            _("It ran for %(ran)d of %(planned)d min: let it run on, or start it anew.")
            % {"ran": seen.minutes, "planned": seen.planned},
            field="result",
        )
    return proof_item_record(
        ticket=run.ticket,
        by=by,
        item=run.kind,
        result=result,
        count=1 if proof.ITEMS[run.kind].full_count else None,
        minutes=seen.minutes,
        words=words,
        at=at,
    )
