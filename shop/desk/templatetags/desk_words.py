"""What the bench shows of other rooms: the desk alone knows them all."""

from typing import Any

from django import template

from shop.billing import queries as money
from shop.desk import arrival
from shop.intake.models import Ticket

register = template.Library()


@register.inclusion_tag("desk/_bench_line.html")
def bench_line(ticket: Ticket) -> dict[str, Any]:
    """Agreed, used and left, and what must be known before a reading."""
    agreed = money.agreed(ticket)
    return arrival.of(ticket) | {"agreed": agreed}
