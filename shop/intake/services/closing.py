"""How a ticket ends: the outcome, things given back, the handover."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.intake import paper_language
from shop.intake.facts import IMPORT_UNDONE
from shop.intake.models import (
    STAYS_HERE,
    ClosingKind,
    Handover,
    HandoverWay,
    Outcome,
    Thing,
    Ticket,
)
from shop.intake.services.placing import thing_tell
from shop.intake.services.rows import keep, lock, still_open, tell
from shop.intake.things import given_back
from shop.money import Money
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event


@dataclass(frozen=True)
class Ending:
    """How a ticket ends at the counter.

    ``counted`` are the ids of the things that were ticked off; ``None``: all of them.
    """

    way: str = HandoverWay.COLLECTED
    counted: Collection[int] | None = None
    missing: str = ""
    tracking: str = ""
    drive: str = ""
    price: Money | None = None


@transaction.atomic
def outcome_record(
    *,
    ticket: Ticket,
    by: Person,
    kind: str,
    no_fix_reason: str = "",
    at: datetime | None = None,
) -> Outcome:
    """How the bench's work ended; from then on it is the handover's turn."""
    still_open(ticket)
    at = at or timezone.now()
    if Outcome.objects.filter(ticket=ticket).exists():
        raise Refused(_("How it ended is recorded already."), field="kind")
    reason = no_fix_reason if kind == ClosingKind.NO_FIX else ""
    if kind == ClosingKind.NO_FIX and not reason:
        raise Refused(_("Say why it could not be fixed."), field="no_fix_reason")
    outcome = keep(Outcome(ticket=ticket, kind=kind, no_fix_reason=reason, at=at))
    codes = {
        "kind": str(kind),
        "no_fix_reason": str(reason),
        **paper_language.kept(ticket),
    }
    tell(Kind.OUTCOME_RECORDED, ticket, by, at, codes=codes)
    return outcome


@transaction.atomic
def thing_return(*, thing: Thing, by: Person, at: datetime | None = None) -> Event:
    lock(thing.ticket)
    if thing.pk in given_back(thing.ticket):
        raise Refused(_("It was given back already."))
    return thing_tell(Kind.THING_RETURNED, thing, by, at)


@transaction.atomic
def handover_do(
    *,
    ticket: Ticket,
    by: Person,
    given_to: str,
    owing_reason: str = "",
    ending: Ending | None = None,
    at: datetime | None = None,
) -> Handover:
    """Close the ticket: what came with it was counted back, one by one.

    Without an ``ending`` everything was collected here.
    """
    still_open(ticket)
    at, ending = at or timezone.now(), ending or Ending()
    handover = Handover(
        ticket=ticket,
        at=at,
        given_to=given_to.strip(),
        owing_reason=owing_reason.strip(),
        way=ending.way,
        tracking=ending.tracking.strip(),
        drive=ending.drive,
        price_minor=ending.price.minor if ending.price else None,
        missing=ending.missing.strip(),
    )
    staying = _staying(ticket, ending)
    keep(handover)
    for thing in ticket.things.exclude(pk__in={*given_back(ticket), *staying}):
        thing_tell(Kind.THING_RETURNED, thing, by, at)
    codes = {"way": str(ending.way), **paper_language.kept(ticket)}
    tell(Kind.TICKET_CLOSED, ticket, by, at, codes=codes)
    return handover


def _staying(ticket: Ticket, ending: Ending) -> set[int]:
    """The things not counted back; of a machine that goes home each needs a reason."""
    if ending.counted is None:
        return set()
    staying = set(ticket.things.values_list("pk", flat=True))
    staying -= {*ending.counted, *given_back(ticket)}
    is_whole = ending.way in STAYS_HERE or not staying
    if not is_whole and not ending.missing.strip():
        raise Refused(
            _("Not everything is ticked. Tick it, or say where the rest is."),
            field="missing",
        )
    return staying


@transaction.atomic
def ticket_withdraw(*, ticket: Ticket, by: Person) -> Handover:
    """Close a ticket that was brought in by mistake: nothing was handed over."""
    still_open(ticket)
    row = Handover(ticket=ticket, at=timezone.now(), is_undone=True)
    row.save()
    tell(Kind.TICKET_CLOSED, ticket, by, row.at, codes={"why": IMPORT_UNDONE})
    return row
