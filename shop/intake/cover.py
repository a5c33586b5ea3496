"""A warranty check: is the earlier repair's warranty to bear this work?"""

from collections.abc import Collection
from dataclasses import dataclass

from shop.intake.models import IntakeKind, Ticket
from shop.records.kinds import Kind
from shop.records.models import Event


@dataclass(frozen=True)
class Decision:
    """The technician's word: covered or not, with the reason in writing."""

    is_covered: bool
    event: Event

    @property
    def reason(self) -> str:
        return self.event.note.text if self.event.note else ""


def decision_of(ticket: Ticket) -> Decision | None:
    """The newest decision; None where there is none, or nothing to decide."""
    if not ticket.is_warranty:
        return None
    event = (
        Event.objects.filter(ticket_id=ticket.pk, kind=Kind.WARRANTY_DECIDED)
        .select_related("by", "note")
        .order_by("id")
        .last()
    )
    return None if event is None else Decision(bool(event.codes["is_covered"]), event)


def is_covered(ticket: Ticket) -> bool:
    decision = decision_of(ticket)
    return decision is not None and decision.is_covered


def covered_among(ticket_ids: Collection[int]) -> set[int]:
    """Those of these tickets that are covered; two queries for all."""
    checks = Ticket.objects.filter(
        pk__in=ticket_ids, intake_kind=IntakeKind.WARRANTY
    ).values_list("pk", flat=True)
    told = Event.objects.filter(
        ticket_id__in=list(checks), kind=Kind.WARRANTY_DECIDED
    ).order_by("id")
    newest = dict(told.values_list("ticket_id", "codes"))
    return {pk for pk, codes in newest.items() if pk and codes["is_covered"]}


def is_free(ticket: Ticket) -> bool:
    """No fee is asked: covered, or not decided yet."""
    decision = decision_of(ticket)
    return ticket.is_warranty and (decision is None or decision.is_covered)
