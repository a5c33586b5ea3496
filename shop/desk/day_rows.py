"""The day list's rows as they are drawn, kept until something on them changes."""

from datetime import datetime
from hashlib import sha256
from typing import TYPE_CHECKING

from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from shop.intake import promise_words, words
from shop.people.models import Person
from shop.records.cache import cache

if TYPE_CHECKING:
    from shop.desk.day import Row

KEPT_SECONDS = 60 * 60


def drawn(row: "Row", person: Person, now: datetime) -> SafeString:
    """The row for this person. Drawn once an hour, or when what it shows changes."""
    is_by_you = row.turn.details.get("by") == person.pk
    shown = (*_shown(row, is_by_you), *_breaking(row, now))
    key = f"day-row-{sha256(repr(shown).encode()).hexdigest()}"
    kept: str | None = cache.get(key)
    if kept is None:
        context = {"row": row, "is_by_you": is_by_you, "now": now}
        kept = str(render_to_string("desk/_day_row.html", context))
        cache.set(key, kept, KEPT_SECONDS)
    return mark_safe(kept)  # noqa: S308  as the template made it


def _breaking(row: "Row", now: datetime) -> tuple[str, ...]:
    if row.breaking is None:
        return ()
    return promise_words.breaks(row.breaking, now), promise_words.unless(row.breaking)


def _shown(row: "Row", is_by_you: bool) -> tuple[object, ...]:
    """Everything that stands on a row, as it is read there."""
    ticket, turn = row.ticket, row.turn
    return (
        *(get_language(), ticket.shop.time_zone, ticket.number, is_by_you),
        *(ticket.customer.name, ticket.device.model, row.places),
        *(words.waits_for(turn), turn.part, row.holder and row.holder.name),
        *(row.strip and (row.strip.words, row.strip.stages), words.span(turn.age)),
        *(turn.promise, turn.is_promise_kept, turn.next_contact),
        *(
            row.is_late,
            row.is_held_up,
            row.is_due_today,
            row.is_silent,
            row.is_contact_today,
        ),
        *(words.span(late) for late in (row.late_by, row.part_late_by)),
        *(words.span(long) for long in (row.silent_for, row.contact_late_by)),
        *(bool(row.part_late_by), bool(row.contact_late_by), row.days_width),
        *((one.x, one.width, one.words, one.piece.whose) for one in row.stretches),
    )
