"""What the bench says while more that was found waits for its answer."""

from typing import Any

from django import template
from django.utils import timezone

from shop.billing import drafts
from shop.billing import queries as money
from shop.desk import found_more
from shop.intake.models import Ticket

register = template.Library()


@register.inclusion_tag("desk/_found_more_waits.html")
def found_more_waits(ticket: Ticket) -> dict[str, Any]:
    """Parked until the customer answers; or gone on with, as far as was agreed."""
    is_open = found_more.is_unanswered(ticket)
    return {
        "ticket": ticket,
        "is_open": is_open,
        "is_parked": is_open and found_more.is_waiting(ticket, timezone.now()),
        "draft": drafts.draft_of(ticket) if is_open else None,
        "newest": money.quote_state(ticket).newest if is_open else None,
    }
