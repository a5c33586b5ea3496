"""What a page of the bench tells its outbox: who is here, and our clock."""

from typing import Any

from django import template
from django.template.context import Context
from django.utils import timezone

from diagnostics import tablets, words
from diagnostics.engine.yardsticks import Word

register = template.Library()


@register.simple_tag(takes_context=True)
def at_tablet(context: Context) -> dict[str, Any]:
    """``{person, word, now}``; nothing on the page that a tablet keeps for anybody."""
    if context.get("is_away"):
        return {}
    return tablets.here(context["request"], timezone.now())


@register.simple_tag
def verdict_words() -> list[tuple[str, str]]:
    """Each verdict's word with its name in the reader's language."""
    return [(word.value, words.verdict_name(word.value)) for word in Word]
