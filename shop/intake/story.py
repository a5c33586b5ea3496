"""The four short texts of a ticket's story, read from its notes."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _

from shop.intake.models import Ticket
from shop.records.models import Note

PARTS = {
    "told": _("Told"),
    "found": _("Found"),
    "done": _("Done"),
    "proved": _("Proved"),
}
NOTE_KIND = {part: f"story_{part}" for part in PARTS}


@dataclass(frozen=True)
class Story:
    """What was told, found, done and how it was proved; empty when unwritten."""

    told: str = ""
    found: str = ""
    done: str = ""
    proved: str = ""


def current_notes(ticket: Ticket) -> dict[str, Note]:
    """The newest note of each part that has one, by part."""
    part_of = {kind: part for part, kind in NOTE_KIND.items()}
    notes = Note.objects.filter(ticket_id=ticket.pk, kind__in=part_of).order_by("id")
    return {part_of[note.kind]: note for note in notes}


def story_of(ticket: Ticket) -> Story:
    return Story(**{part: n.text for part, n in current_notes(ticket).items()})


def stories_of(tickets: Iterable[Ticket]) -> dict[int, Story]:
    """By ticket id, of those that have one; one query, however many."""
    part_of = {kind: part for part, kind in NOTE_KIND.items()}
    found: dict[int, dict[str, str]] = {}
    notes = Note.objects.filter(
        ticket_id__in=[ticket.pk for ticket in tickets], kind__in=part_of
    )
    for ticket_id, kind, text in notes.order_by("id").values_list(
        "ticket_id", "kind", "text"
    ):
        if ticket_id is not None:
            found.setdefault(ticket_id, {})[part_of[kind]] = text
    return {ticket_id: Story(**parts) for ticket_id, parts in found.items()}
