"""What is kept for tickets now: reservations lapse by themselves."""

from datetime import datetime

from django.db.models import QuerySet, Sum

from shop.billing.models import StockItem, StockMove
from shop.intake.models import Ticket


def standing(now: datetime) -> QuerySet[StockMove]:
    """Reservations that hold now: not given back, not expired."""
    return StockMove.objects.filter(
        why=StockMove.Why.RESERVED,
        reverses=None,
        reversed_by=None,
        expires_at__gt=now,
    )


def kept_count(item: StockItem, now: datetime, *, but_for: Ticket | None = None) -> int:
    """How many pieces are kept for (other) tickets."""
    rows = standing(now).filter(item=item)
    if but_for is not None:
        rows = rows.exclude(ticket=but_for)
    return -(rows.aggregate(sum=Sum("quantity"))["sum"] or 0)
