"""On an owner's pages: that the last backup is too old, or how somebody came in."""

from typing import Any

from django import template
from django.utils import timezone

from shop.keeping import copies
from shop.people import recovering

register = template.Library()


@register.inclusion_tag("keeping/_said.html", takes_context=True)
def backup_said(context: dict[str, Any]) -> dict[str, Any]:
    """Nothing where all is well: an old backup in red, a sign-in recovered."""
    now, newest = timezone.now(), copies.newest()
    age = now - newest if newest else None
    return {
        "hours": int(age.total_seconds() // 3600) if age else None,
        "is_late": age is not None and age > copies.LATE,
        "is_none": age is None,
        "recovered": recovering.recovered_lately(context["shop"], now),
    }
