"""Template filters: turns, spans and events in words."""

from datetime import datetime, timedelta

from django import template

from shop.intake import event_words, promise_words, words
from shop.intake.promising import Breaking
from shop.intake.turn import Turn
from shop.records.models import Event

register = template.Library()


@register.filter
def waits_for_words(turn: Turn) -> str:
    return words.capital(words.waits_for(turn))


@register.filter
def whose_word(whose: str) -> str:
    return words.whose_word(whose)


@register.filter
def part_word(part: str) -> str:
    return words.part_word(part)


@register.filter
def span_words(length: timedelta) -> str:
    return words.span(length)


@register.filter
def since_words(moment: datetime, now: datetime) -> str:
    return words.span(now - moment)


@register.filter
def happened_words(event: Event) -> str:
    return event_words.happened(event)


@register.filter
def breaks_words(breaking: Breaking, now: datetime) -> str:
    return promise_words.breaks(breaking, now)


@register.filter
def unless_words(breaking: Breaking) -> str:
    return promise_words.unless(breaking)
