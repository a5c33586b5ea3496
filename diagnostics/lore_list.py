"""The board models that the shop knows, as a list to search by number."""

import math
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from itertools import chain
from typing import Any, NamedTuple

from django.db.models import Count, Max, Q, QuerySet

from diagnostics.lore_newest import MOST as MOST_BOARDS
from diagnostics.lore_newest import newest_of
from diagnostics.models import Board, BoardModel, Origin, TicketBoard
from shop.intake.models import ClosingKind
from shop.people.models import Shop

MOST = 100
AT_ONCE = 500
# Of a board that came in, joined to its tickets.
UNDONE = Q(ticket_boards__ticket__handover__is_undone=True)
CAME = Q(ticket_boards__isnull=False) & ~UNDONE
FIXED = Q(ticket_boards__ticket__outcome__kind=ClosingKind.FIXED)


class Counts(NamedTuple):
    """Boards of a model; ``last_seen`` is when one of them came in last."""

    seen: int = 0
    fixed: int = 0
    donors: int = 0
    last_seen: datetime | None = None


@dataclass(frozen=True)
class Listed:
    """A board model, and what the list says of it."""

    model: BoardModel
    counts: Counts

    @property
    def order(self) -> tuple[float, str]:
        """The last seen first."""
        seen = self.counts.last_seen
        return -seen.timestamp() if seen else math.inf, self.model.number


def models_of(shop: Shop, asked: str) -> dict[str, Any]:
    """By number or machine, the last seen first; seven queries at most."""
    rows = shop.board_models.all()
    if asked:
        rows = rows.filter(Q(number__icontains=asked) | Q(name__icontains=asked))
    known = set(rows.values_list("pk", flat=True))
    shown = known if len(known) <= MOST else _last_seen(shop, known)
    came_in = Board.objects.filter(origin=Origin.CUSTOMER)
    newest = newest_of(came_in, shown)
    counts = _counted(shown, came_in.filter(newest.which))
    found = BoardModel.objects.filter(pk__in=shown)
    listed = [Listed(one, counts.get(one.pk, Counts())) for one in found]
    return {
        "models": sorted(listed, key=lambda one: one.order),
        "is_cut": len(known) > MOST,
        "most": MOST_BOARDS if newest.cut else None,
    }


def _last_seen(shop: Shop, known: set[int]) -> set[int]:
    """``MOST`` of them: looked for from the newest ticket back, then by their age."""
    joined = TicketBoard.objects.filter(ticket__shop=shop).order_by("-pk")
    models = joined.values_list("board__board_model_id", flat=True)
    found = set[int]()
    for pk in chain(models.iterator(AT_ONCE), sorted(known, reverse=True)):
        if len(found) == MOST:
            break
        found |= {pk} & known
    return found


def _counted(models: Collection[int], boards: QuerySet[Board]) -> dict[int, Counts]:
    donors = Board.objects.filter(board_model__in=models, origin=Origin.DONOR)
    many = donors.order_by().values_list("board_model_id").annotate(Count("pk"))
    found = {pk: Counts(donors=count) for pk, count in many}
    came = boards.order_by().values_list("board_model_id")
    for pk, seen, fixed, last in came.annotate(
        seen=Count("pk", filter=CAME, distinct=True),
        fixed=Count("pk", filter=CAME & FIXED, distinct=True),
        last=Max("ticket_boards__joined_at"),
    ):
        found[pk] = found.get(pk, Counts())._replace(
            seen=seen, fixed=fixed, last_seen=last
        )
    return found
