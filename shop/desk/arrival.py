"""What is said of a ticket before any work on it: its goal, kind, group, warranty."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from diagnostics import queries as bench
from diagnostics.models import Finding
from shop.billing import queries as money
from shop.intake import arriving, cover, outage, queries
from shop.intake.models import IntakeKind, Ticket
from shop.people.models import Person
from shop.records.kinds import Kind
from shop.records.models import Event


@dataclass(frozen=True)
class Earlier:
    """The repair that a warranty check is about, in one line."""

    ticket: Ticket
    until: date | None
    is_over: bool
    work: str
    by: Person | None


def of(ticket: Ticket) -> dict[str, Any]:
    """Everything that the head of ticket page and bench says besides the name."""
    group = arriving.group_of(ticket)
    return {
        "ticket": ticket,
        "waits_for_data": bench.waits_for_data(ticket),
        "data_safe": _data_safe(ticket) if ticket.is_data_first else None,
        **arriving.asked_of(ticket),
        "is_to_unpack": arriving.is_unended(ticket, IntakeKind.PARCEL),
        "not_recorded": arriving.not_recorded(ticket),
        "brought": arriving.brought_with(ticket),
        "group": group if len(group) > 1 else [],
        "earlier": _earlier(ticket) if ticket.is_warranty else None,
        "cover": cover.decision_of(ticket),
        "is_closed": hasattr(ticket, "handover"),
        "paper": outage.slips_of(ticket.shop).filter(ticket=ticket).first(),
    }


def _data_safe(ticket: Ticket) -> Event | None:
    rows = Event.objects.filter(ticket_id=ticket.pk, kind=Kind.DATA_SAFE)
    return rows.select_related("by").last()


def _earlier(ticket: Ticket) -> Earlier | None:
    """Covered until when, for what, done by whom."""
    earlier = ticket.returns_to
    return None if earlier is None else repair_of(earlier, ticket.opened_at)


def repair_of(earlier: Ticket, at: datetime) -> Earlier:
    """What was repaired, and whether its warranty still ran at a moment."""
    until = money.covered_until(earlier)
    day = at.astimezone(earlier.shop.zone).date()
    finding = Finding.objects.filter(ticket=earlier).select_related("by").last()
    return Earlier(
        ticket=earlier,
        until=until,
        is_over=until is not None and until < day,
        work=queries.story_of(earlier).done,
        by=finding.by if finding else None,
    )
