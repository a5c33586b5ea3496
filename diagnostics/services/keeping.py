"""Good readings kept for the board model, when a repair has proved the board."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics import lore
from diagnostics.models import Board, KeptGood
from diagnostics.services.telling import refuse_apart, tell
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.kinds import Kind


@transaction.atomic
def lore_keep(
    *, board: Board, ticket: Ticket | None, by: Person, at: datetime | None = None
) -> list[KeptGood]:
    """Keep as good what the fault can't have touched, read before its repair."""
    Board.objects.select_for_update().get(pk=board.pk)
    refuse_apart(board, ticket)
    readings = lore.untouched_of(board, ticket)
    if not readings:
        raise Refused(_("There is nothing here to keep as good."))
    at = at or timezone.now()
    kept = [KeptGood.objects.create(reading=one, by=by, at=at) for one in readings]
    ids = {"count": len(kept)}
    tell(Kind.LORE_KEPT, board=board, ticket=ticket, by=by, at=at, ids=ids)
    return kept
