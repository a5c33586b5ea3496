"""Taking parts off donor boards."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics import donors
from diagnostics.models import (
    Board,
    DonorPaper,
    InterventionKind,
    Origin,
    TakenOff,
)
from diagnostics.services.telling import refuse_closed, tell
from diagnostics.services.work import intervention_do
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.kinds import Kind


@transaction.atomic
def donor_paper_keep(
    *, board: Board, by: Person, kind: str, reference: str, at: datetime | None = None
) -> DonorPaper:
    """Which paper says that this donor is ours; a newer one takes its place."""
    if board.origin != Origin.DONOR:
        raise Refused(_("Only a donor needs a paper of ownership."))
    if not reference.strip():
        raise Refused(_("Write its number, or where it is filed."), field="reference")
    return DonorPaper.objects.create(
        board=board,
        kind=kind,
        reference=reference.strip(),
        by=by,
        at=at or timezone.now(),
    )


@transaction.atomic
def part_take_off(
    *,
    board: Board,
    by: Person,
    part_id: str = "",
    name: str = "",
    place: str = "",
    for_ticket: Ticket | None = None,
    at: datetime | None = None,
) -> TakenOff:
    """Take a part off a donor, for a ticket or for the drawer.

    It is billed nowhere by this: a salvaged part is entered on its ticket. Raises
    ``Refused``: no donor, no paper that it is ours, no part named, taken already,
    the ticket closed.
    """
    board = Board.objects.select_for_update().get(pk=board.pk)
    at, name, place = at or timezone.now(), name.strip(), place.strip()
    if board.origin != Origin.DONOR:
        raise Refused(_("Parts are taken off donor boards only."))
    if not board.donor_papers.exists():
        raise Refused(_("Say first by which paper this board is ours."))
    if not part_id and not name:
        raise Refused(_("Name the part, or choose one of the list."), field="part_id")
    if for_ticket is not None and for_ticket.shop_id != board.shop_id:
        raise Refused(_("This shop has no such ticket."), field="ticket")
    refuse_closed(for_ticket)
    _refuse_gone(board, part_id, "" if part_id else name, place)
    act = intervention_do(
        board=board,
        ticket=None,
        by=by,
        kind=InterventionKind.REMOVED,
        part_id=part_id,
        place=place,
        at=at,
    )
    taken = TakenOff.objects.create(
        intervention=act, name="" if part_id else name, for_ticket=for_ticket
    )
    if for_ticket is not None:
        tell(
            Kind.PART_SALVAGED,
            board=board,
            ticket=for_ticket,
            by=by,
            at=at,
            codes={"part": part_id},
            ids={"taken_off": taken.pk},
        )
    return taken


def _refuse_gone(board: Board, part_id: str, name: str, place: str) -> None:
    """The same part from the same place is there once."""
    (donor,) = donors.donors_of([board])
    for one in donor.gone:
        taken = one.taken_off.name if one.taken_off else ""
        if (one.act.part_id, taken, one.act.place) == (part_id, name, place):
            raise Refused(
                _("It was taken off already, by %(name)s.") % {"name": one.act.by.name},
                field="place" if part_id else "name",
            )
