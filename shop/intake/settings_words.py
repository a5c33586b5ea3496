"""What an event says of a setting: what stood before, and what stands after.

A changed value stands in the event under its name, the one before it under the name
with ``_before``; names here are those of the columns.
"""

from collections.abc import Callable, Iterator, Mapping
from datetime import datetime

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.intake.words import day_words
from shop.records.errors import Text
from shop.records.models import Event

BEFORE = "_before"
Value = str | int | bool | None
NAMES: Mapping[str, Text] = {
    "untouched_days": gettext_lazy("days untouched"),
    "unanswered_days": gettext_lazy("days unanswered"),
    "owed_days": gettext_lazy("days owed"),
}


def said(text: Text) -> Callable[[Event], str]:
    """A sentence, from when on it holds, and each change."""

    def say(event: Event) -> str:
        sentence = str(text)
        if later := _begins_later(event):
            sentence = _("%(what)s, from %(day)s on") % {"what": sentence, "day": later}
        changed = list(changes(event))
        return f"{sentence}: {', '.join(changed)}" if changed else sentence

    return say


def _begins_later(event: Event) -> str:
    begins = str(event.codes.get("valid_from") or "")
    if not begins or datetime.fromisoformat(begins) <= event.at:
        return ""
    return day_words(datetime.fromisoformat(begins))


def changes(event: Event) -> Iterator[str]:
    """``days owed 14 → 21``, for what is not as it was."""
    told: Mapping[str, Value] = {**event.codes, **event.amounts}
    for name, after in told.items():
        before = told.get(f"{name}{BEFORE}", after)
        if before != after:
            named = str(NAMES.get(name, name.replace("_", " ")))
            yield f"{named} {before} → {after}"
