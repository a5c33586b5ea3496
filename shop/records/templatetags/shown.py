"""Built into all templates: dates as the reader's language writes them."""

from datetime import date, datetime, time

from django import template

from shop import shown

register = template.Library()


@register.filter(name="date", expects_localtime=True, is_safe=False)
def date_shown(value: date | datetime | time | str | None, pattern: str) -> str:
    """Django's own filter, with our patterns turned into the language's."""
    if value in {None, ""}:
        return ""
    return shown.date_format(value, pattern)  # type: ignore[arg-type]


@register.filter
def figures(text: object) -> str:
    return shown.figures(str(text))
