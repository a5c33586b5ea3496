"""What the bench shows of other rooms: the desk alone knows them all."""

from typing import Any

from django import template

from shop.billing import queries as money
from shop.desk import arrival
from shop.intake.models import Ticket

register = template.Library()


@register.inclusion_tag("desk/_bench_agreed.html")
def bench_agreed(ticket: Ticket) -> dict[str, Any]:
    """Agreed, used and left, always in sight."""
    is_closed = hasattr(ticket, "handover")
    return {"ticket": ticket, "agreed": money.agreed(ticket), "is_closed": is_closed}


@register.inclusion_tag("desk/_bench_line.html")
def bench_line(ticket: Ticket) -> dict[str, Any]:
    """What must be known before a reading."""
    return arrival.of(ticket)
