"""What every act of the bench shares: its event, its note, its refusals."""

from collections.abc import Mapping
from datetime import datetime

from django.utils.translation import gettext as _

from diagnostics import queries, tablets
from diagnostics.bridge import Known
from diagnostics.models import Board
from shop.intake.models import Handover, Ticket
from shop.people.models import Person
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event, Note


def tell(
    kind: Kind,
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person,
    at: datetime | None,
    person: Person | None = None,
    reading_id: int | None = None,
    codes: Mapping[str, str | int | bool | None] | None = None,
    ids: Mapping[str, int | str] | None = None,
    note: Note | None = None,
) -> Event:
    event = records.event_record(
        kind,
        shop_id=board.shop_id,
        by_id=by.pk,
        at=at,
        ticket_id=ticket.pk if ticket else None,
        board_id=board.pk,
        reading_id=reading_id,
        person_id=person.pk if person else None,
        codes=codes,
        ids=ids,
        note=note,
    )
    tell_of_arrival(board=board, ticket=ticket, by=by, at=at, reading_id=reading_id)
    return event


def tell_of_arrival(
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person,
    at: datetime | None,
    reading_id: int | None = None,
) -> None:
    """What is to be known of an act that came from a tablet: late, not vouched for."""
    marks = {
        Kind.CAME_LATE: is_late(ticket),
        Kind.NOT_CONFIRMED: not tablets.is_confirmed(),
    }
    for kind in tablets.untold(kind for kind, is_so in marks.items() if is_so):
        records.event_record(
            kind,
            shop_id=board.shop_id,
            by_id=by.pk,
            at=at,
            ticket_id=ticket.pk if ticket else None,
            board_id=board.pk,
            reading_id=reading_id,
        )


def is_late(ticket: Ticket | None) -> bool:
    """Whether what is being done came from a tablet after its ticket was closed."""
    if tablets.arriving() is None or ticket is None:
        return False
    return may_come_late(ticket) and queries.is_closed(ticket)


def may_come_late(ticket: Ticket) -> bool:
    """What had waited on a tablet, or was done there before the ticket was closed."""
    done_at = tablets.moment()
    if done_at is None:
        return False
    closed_later = Handover.objects.filter(ticket=ticket, at__gt=done_at)
    return tablets.has_waited() or closed_later.exists()


def keep_note(
    *,
    board: Board | None,
    ticket: Ticket | None,
    by: Person,
    kind: str,
    text: str,
    at: datetime | None,
) -> Note | None:
    """The words of a person, kept apart from the rows that erasure can't touch."""
    place = ticket or board
    if not text.strip() or place is None:
        return None
    return records.note_keep(
        shop_id=place.shop_id,
        kind=kind,
        text=text.strip(),
        by_id=by.pk,
        ticket_id=ticket.pk if ticket else None,
        at=at,
    )


def refuse_closed(ticket: Ticket | None) -> None:
    """A closed ticket takes nothing more, but for what a tablet had kept for it."""
    if ticket is None or not queries.is_closed(ticket):
        return
    if not may_come_late(ticket):
        raise Refused(_("This ticket is closed: the device was handed over."))


def refuse_apart(board: Board, ticket: Ticket | None) -> None:
    if ticket is not None and not board.ticket_boards.filter(ticket=ticket).exists():
        raise Refused(_("This ticket is not about that board."))


def refuse_unknown_part(
    known: Known, part_id: str, mode_id: str = "", *, is_needed: bool = False
) -> None:
    parts = known.board.parts
    if not part_id and not is_needed:
        return
    if part_id not in parts:
        raise Refused(
            _("This board has no part “%(id)s”.") % {"id": part_id[:40]},
            field="part_id",
        )
    modes = {mode.id for mode in parts[part_id].modes}
    if (mode_id or is_needed) and mode_id not in modes:
        raise Refused(
            _("“%(part)s” has no such way of failing.") % {"part": part_id},
            field="mode_id",
        )
