"""Which boards of a model are counted: its newest, however many there ever were.

A middle of a thousand boards is no wiser than one of ten thousand, and the work of
counting them has an end.
"""

from collections.abc import Collection
from typing import NamedTuple

from django.db.models import OuterRef, Q, QuerySet, Subquery

from diagnostics.models import Board, BoardModel, Origin

MOST = 1000


class Newest(NamedTuple):
    """Which boards are counted, and the models of which not all of them are."""

    which: Q
    cut: frozenset[int]


def newest_of(boards: QuerySet[Board], models: Collection[int]) -> Newest:
    """The newest ``MOST`` of these customers' boards of each model, by its key."""
    came = Board.objects.filter(origin=Origin.CUSTOMER)
    oldest = _oldest_counted(came, models)
    if oldest:  # of few models: only there it is asked which boards these are
        oldest = _oldest_counted(boards, oldest)
    which = Q(board_model__in=[pk for pk in models if pk not in oldest])
    for pk, first in oldest.items():
        which |= Q(board_model=pk, pk__gte=first)
    return Newest(which, frozenset(oldest))


def _oldest_counted(boards: QuerySet[Board], models: Collection[int]) -> dict[int, int]:
    """By model, the oldest board that is counted, where not all of them are."""
    of_model = boards.filter(board_model=OuterRef("pk")).order_by("-pk").values("pk")
    rows = BoardModel.objects.filter(pk__in=list(models)).annotate(
        left_out=Subquery(of_model[MOST : MOST + 1])
    )
    cut = rows.filter(left_out__isnull=False).annotate(
        first=Subquery(of_model[MOST - 1 : MOST])
    )
    return dict(cut.values_list("pk", "first"))
