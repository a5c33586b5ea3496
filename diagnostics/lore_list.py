"""The board models that the shop knows, as a list to search by number."""

from typing import Any

from django.db.models import Count, F, Max, Q, QuerySet

from diagnostics.models import BoardModel, Origin
from shop.intake.models import ClosingKind
from shop.people.models import Shop

MOST = 100
CAME = Q(
    boards__origin=Origin.CUSTOMER,
    boards__ticket_boards__isnull=False,
)
UNDONE = Q(boards__ticket_boards__ticket__handover__is_undone=True)
FIXED = Q(boards__ticket_boards__ticket__outcome__kind=ClosingKind.FIXED)


def models_of(shop: Shop, asked: str) -> dict[str, Any]:
    """By number or machine, the last seen first; with one query."""
    rows = _counted(shop.board_models.all())
    if asked:
        rows = rows.filter(Q(number__icontains=asked) | Q(name__icontains=asked))
    found = list(rows[: MOST + 1])
    return {"models": found[:MOST], "is_cut": len(found) > MOST}


def _counted(models: QuerySet[BoardModel]) -> QuerySet[BoardModel]:
    came = CAME & ~UNDONE
    return models.annotate(
        seen=Count("boards", filter=came, distinct=True),
        fixed=Count("boards", filter=came & FIXED, distinct=True),
        donors=Count("boards", filter=Q(boards__origin=Origin.DONOR), distinct=True),
        last_seen=Max("boards__ticket_boards__joined_at", filter=CAME),
    ).order_by(F("last_seen").desc(nulls_last=True), "number")
