"""What the bench's list shows of the proof: what runs by itself, and since when."""

from typing import Any

from django import template
from django.utils import timezone

from diagnostics import proof_runs
from shop.people.models import Shop

register = template.Library()


@register.inclusion_tag("diagnostics/_runs_ready.html")
def runs_ready(shop: Shop) -> dict[str, Any]:
    """The runs of the shop that nobody has answered, the one that is ready first."""
    return {"runs": proof_runs.of_shop(shop, timezone.now())}
