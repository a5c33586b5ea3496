"""The customer's data: safe first where that was agreed, never locked out unasked.

What erases, reinstalls, rewrites flash or changes a part that may lock an encrypted
disk is asked about before it is recorded as done (domain brief, section 10; the
parts are the family's, by ``locks_disk``).
"""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from diagnostics import queries
from diagnostics.bridge import Known
from diagnostics.models import Board, DiskWord, InterventionKind
from diagnostics.services.telling import refuse_apart
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused

CHANGES_A_PART = frozenset(
    {
        InterventionKind.REMOVED,
        InterventionKind.FITTED,
        InterventionKind.REPLACED,
        InterventionKind.REFLOWED,
        InterventionKind.REWRITTEN,
    }
)
LOSES_DATA = frozenset({InterventionKind.ERASED, InterventionKind.REINSTALLED})


def may_lock_disk(known: Known, kind: str, part_id: str) -> bool:
    """Rewriting always; else changing a part that the family says may lock it."""
    part = known.board.parts.get(part_id)
    is_locking_part = part is not None and part.locks_disk
    return kind == InterventionKind.REWRITTEN or (
        kind in CHANGES_A_PART and is_locking_part
    )


def refuse_data_first(
    known: Known, ticket: Ticket | None, kind: str, part_id: str
) -> None:
    """Data first: nothing that loses or locks the data until it is safe."""
    if not queries.waits_for_data(ticket):
        return
    if kind in LOSES_DATA:
        raise Refused(
            _("Data first: this loses data. Record the data as safe."), field="kind"
        )
    if may_lock_disk(known, kind, part_id):
        raise Refused(
            _("Data first: this may lock the disk. Record the data as safe."),
            field="part_id" if part_id else "kind",
        )


def refuse_unasked_disk(
    known: Known, ticket: Ticket | None, kind: str, part_id: str, disk: str
) -> None:
    """One of three is ticked before a customer's disk may be locked."""
    if disk and disk not in DiskWord.values:
        raise Refused(_("Tick one of the three."), field="disk")
    if ticket is not None and not disk and may_lock_disk(known, kind, part_id):
        raise Refused(
            _("An encrypted disk may lock its owner out: tick one of the three."),
            field="disk",
        )


@transaction.atomic
def data_safe_record(
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person,
    how: str = "",
    at: datetime | None = None,
) -> None:
    """The data is safe: what was held off for it may be done. Said once."""
    if ticket is None:
        raise Refused(_("A reference board has no customer’s data."))
    refuse_apart(board, ticket)
    intake.data_safe_record(ticket=ticket, by=by, how=how, board_id=board.pk, at=at)
