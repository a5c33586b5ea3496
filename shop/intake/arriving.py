"""What came in with a ticket besides the device: its group, its words, its rest."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from shop.intake.models import Answer, IntakeKind, Ticket
from shop.records.kinds import Kind
from shop.records.models import Event, Note


@dataclass(frozen=True)
class Question:
    """One thing to ask, and the answers to tap."""

    name: str
    label: str | Promise
    answers: tuple[tuple[str, str | Promise], ...]


# What others say of the device, kept as notes that can be erased.
BROUGHT: Mapping[str, str | Promise] = {
    "condition": _("Condition as it came"),
    "declared": _("Declared by the sender"),
    "unpacked": _("Seen at unpacking"),
    "their_work": _("Done by the other repairer"),
    "their_readings": _("Their readings, as told"),
}
LEFT_OUT = {
    "liquid": _("liquid"),
    "dropped": _("dropped"),
    "hot_or_swollen": _("hot or swollen"),
    "opened_before": _("opened before"),
    "fee_agreed": _("fee agreed"),
}
YES_NO = ((Answer.NO, _("No")), (Answer.YES, _("Yes")))
ASKED = (*YES_NO, (Answer.UNSURE, _("Unsure")))
# What a quick intake leaves out and one tap answers, the most urgent first.
QUESTIONS = (
    Question("hot_or_swollen", _("Hot, smelling or swollen?"), ASKED),
    Question("liquid", _("Liquid?"), ASKED),
    Question("dropped", _("Dropped?"), ASKED),
    Question("opened_before", _("Opened before?"), ASKED),
    Question("boot_test", _("May we start it with its own system?"), YES_NO),
    Question("fee_agreed", _("Diagnosis fee agreed?"), YES_NO[1:]),
)
# A kind of intake that is not over yet, and the event that ends it.
ENDED_BY = {
    IntakeKind.QUICK: Kind.INTAKE_FINISHED,
    IntakeKind.PARCEL: Kind.PARCEL_UNPACKED,
}


def brought_with(ticket: Ticket) -> list[tuple[str | Promise, Note]]:
    """The words that came with the device, by where they are from."""
    notes = Note.objects.filter(ticket_id=ticket.pk, kind__in=BROUGHT).order_by("id")
    newest = {note.kind: note for note in notes}
    return [(BROUGHT[kind], newest[kind]) for kind in BROUGHT if kind in newest]


def questions_of(ticket: Ticket) -> list[Question]:
    """What nobody has answered yet, in the order in which it is asked."""
    consents = {one.purpose: one.answer for one in ticket.consents.all()}
    return [
        one
        for one in QUESTIONS
        if consents.get(one.name, getattr(ticket, one.name, Answer.NOT_RECORDED))
        == Answer.NOT_RECORDED
    ]


def asked_of(ticket: Ticket) -> dict[str, Any]:
    """The next thing to ask of a quick intake, one at a time, and how many are left."""
    if not is_unended(ticket, IntakeKind.QUICK):
        return {"is_to_finish": False, "question": None}
    left = questions_of(ticket)
    question = left[0] if left else None
    return {"is_to_finish": True, "question": question, "left": len(left)}


def is_rest_open(ticket: Ticket) -> bool:
    """Whether nobody has said yet what came with it."""
    kind = IntakeKind(ticket.intake_kind)
    return kind in ENDED_BY and is_unended(ticket, kind)


def not_recorded(ticket: Ticket) -> list[str]:
    """What nobody asked at the counter, in words."""
    return [
        str(label)
        for name, label in LEFT_OUT.items()
        if getattr(ticket, name) == Answer.NOT_RECORDED
    ]


def unended(tickets: Sequence[Ticket], kind: IntakeKind) -> list[Ticket]:
    """Those of a kind whose intake is not over; one query."""
    begun = [ticket for ticket in tickets if ticket.intake_kind == kind]
    if not begun:
        return []
    ended = set(
        Event.objects.filter(
            ticket_id__in=[ticket.pk for ticket in begun], kind=ENDED_BY[kind]
        ).values_list("ticket_id", flat=True)
    )
    return [ticket for ticket in begun if ticket.pk not in ended]


def is_unended(ticket: Ticket, kind: IntakeKind) -> bool:
    return bool(unended([ticket], kind))


def group_of(ticket: Ticket) -> list[Ticket]:
    """The tickets that came in together with this one, itself among them."""
    first = ticket.came_with or ticket
    rows = first.came_too.select_related("device", "customer").order_by("id")
    return [first, *rows]
