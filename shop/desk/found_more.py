"""More was found than was agreed: the next quote is drafted, and the board waits.

The bench knows what it suspects and billing what was quoted; only the desk knows both.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils import timezone, translation
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from diagnostics import advising, sayings
from diagnostics import queries as bench
from diagnostics.bridge import Known
from diagnostics.engine.worth import repair_minutes
from diagnostics.models import Board, Finding
from shop.billing import drafts
from shop.billing import queries as money
from shop.billing import services as billing
from shop.billing.lines import line_of
from shop.billing.models import QuoteDraft
from shop.billing.services import checks
from shop.billing.totals import Line, totals
from shop.intake import queries as tickets
from shop.intake import services as intake
from shop.intake.facts import FOUND_MORE
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event

CUSTOMER = "customer"
STEP = 5  # minutes: what a guess is rounded to


@dataclass(frozen=True)
class Guess:
    """What the bench thinks is needed now; a person changes it as they like."""

    cause: str = ""
    part: str = ""
    price: Money | None = None
    minutes: int = 0


def guess(board: Board, ticket: Ticket) -> Guess:
    """From the newest finding that no repair has proved, else the first suspect."""
    known = bench.known_of(board)
    named = named_of(known, board, ticket)
    if named is None:
        return Guess()
    part_id, mode_id = named
    shelf = drafts.price_on_the_shelf(ticket, part_id)
    minutes = STEP * round(repair_minutes(known.board, part_id) / STEP)
    with translation.override(ticket.customer.language):
        cause = sayings.suspect_title(known.board, part_id, mode_id)
        part = shelf[0] if shelf else capfirst(_part_name(known, part_id))
    return Guess(
        cause=cause,
        part=part,
        price=shelf[1] if shelf else None,
        minutes=minutes,
    )


def named_of(known: Known, board: Board, ticket: Ticket) -> tuple[str, str] | None:
    """The part and its way of failing that the bench would name now."""
    named = _found(board, ticket) or _suspected(known)
    return named if named is not None and named[0] in known.board.parts else None


def _found(board: Board, ticket: Ticket) -> tuple[str, str] | None:
    row = board.findings.filter(
        ticket=ticket, cause=Finding.Cause.PART, is_proven=False
    ).last()
    return (row.part_id, row.mode_id) if row else None


def _suspected(known: Known) -> tuple[str, str] | None:
    said = advising.said_on_page(known)
    if said is None or not said.suspects:
        return None
    return said.suspects[0].part_id, said.suspects[0].mode_id


def _part_name(known: Known, part_id: str) -> str:
    return sayings.family_text(known.board.parts[part_id].name)


@transaction.atomic
def found_more_record(
    *,
    ticket: Ticket,
    board: Board,
    by: Person,
    cause: str,
    minutes: int,
    part: str = "",
    price: Money | None = None,
    at: datetime | None = None,
) -> QuoteDraft:
    """Draft the next version of the quote, and park the ticket for the customer.

    Nothing is sent. The work so far stays billable as it was agreed. Said twice, it is
    drafted once.
    """
    at = at or timezone.now()
    ticket = checks.ticket_locked(ticket)
    if money.standing_invoice(ticket) is not None:
        raise Refused(_("This ticket is billed already."))
    if not minutes and not part:
        raise Refused(_("Say which minutes or which part it takes."), field="minutes")
    lines = drafts.lines_with_more(
        ticket, minutes=minutes, part=part, price=price, at=at
    )
    again = drafts.draft_of(ticket)
    if again is not None and is_waiting(ticket, at) and _says(again, cause, lines):
        return again
    draft = billing.quote_draft_keep(
        ticket=ticket, by=by, lines=lines, cause=cause, at=at
    )
    records.event_record(
        Kind.FOUND_MORE,
        shop_id=ticket.shop_id,
        ticket_id=ticket.pk,
        board_id=board.pk,
        by_id=by.pk,
        at=at,
        ids={"draft": draft.pk, "version": draft.version},
        codes={"currency": ticket.currency},
        amounts={"total": totals(lines, ticket.currency).total.minor},
    )
    intake.ticket_park(
        ticket=ticket,
        by=by,
        until=None,
        because=FOUND_MORE,
        waits_for=CUSTOMER,
        at=at,
    )
    return draft


def _says(draft: QuoteDraft, cause: str, lines: Sequence[Line]) -> bool:
    kept = [line_of(row) for row in draft.lines.all()]
    return draft.cause == cause and kept == list(lines)


# --- waiting for the answer -------------------------------------------------


def is_waiting(ticket: Ticket, now: datetime) -> bool:
    """Parked since more was found, until the customer answers or somebody goes on."""
    turn = tickets.turn_of(ticket, now)
    return turn.details.get("because") == FOUND_MORE


def is_unanswered(ticket: Ticket) -> bool:
    """More was found, and the version that says so has no answer yet."""
    found = Event.objects.filter(ticket_id=ticket.pk, kind=Kind.FOUND_MORE).last()
    if found is None:
        return False
    later = ticket.quotes.filter(version__gte=found.ids["version"])
    return not later.exclude(answer=None).exists()


def refuse_take(event: Event) -> None:
    """No clock runs while the customer is asked; what was done before it may arrive."""
    ticket = _ticket_of(event)
    if ticket is None or not is_unanswered(ticket):
        return
    parked = Event.objects.filter(ticket_id=ticket.pk, kind=Kind.PARKED).last()
    is_before = parked is not None and event.at < parked.at
    if is_before or not is_waiting(ticket, event.at):
        return
    raise Refused(
        _("It waits for the customer’s answer. Take it up again to go on as agreed.")
    )


def refuse_beyond(event: Event) -> None:
    """Work on the board goes as far as was agreed, and no further.

    Before anything but the fee is agreed it goes on: looking is what the fee is for.
    """
    ticket = _ticket_of(event)
    if ticket is None:
        return
    agreed = money.agreed(ticket)
    is_looking = agreed.source == money.Source.FEE and not is_unanswered(ticket)
    if agreed.left.amount < 0 and not is_looking:
        raise Refused(_("Beyond what was agreed: wait for the customer’s answer."))


def _ticket_of(event: Event) -> Ticket | None:
    if event.ticket_id is None:
        return None
    return Ticket.objects.filter(pk=event.ticket_id).first()


def listen() -> None:
    records.when(Kind.BOARD_TAKEN, refuse_take)
    records.when(Kind.INTERVENTION_DONE, refuse_beyond)
