"""Marks that change with all that a board's ladder rests on."""

from collections.abc import Sequence
from datetime import datetime

from django.db.models import Max, QuerySet
from django.utils import timezone

from diagnostics import lore, passing
from diagnostics.models import Board, BoardModelRevision, Intervention, Reading
from diagnostics.queries import OF_A_BOARD
from shop.records.models import Event


def marks_of(boards: Sequence[Board], *, at: datetime | None = None) -> dict[int, str]:
    """By board id, a mark that changes with all that its ladder rests on.

    Events and rows only grow, so the newest of each kind says it; a rest of more
    than a day changes a ladder by itself.
    """
    ids = [board.pk for board in boards]
    events = Event.objects.filter(board_id__in=ids, kind__in=OF_A_BOARD)
    newest = [
        _newest(events),
        _newest(Reading.objects.filter(board_id__in=ids)),
        _newest(Intervention.objects.filter(board_id__in=ids)),
    ]
    models = {board.board_model_id for board in boards}
    revised = dict(
        BoardModelRevision.objects.filter(board_model_id__in=models)
        .order_by()
        .values_list("board_model_id")
        .annotate(newest=Max("id"))
    )
    rested = _rested(ids, at or timezone.now())
    of_model = lore.marks([board.board_model for board in boards])
    return {
        board.pk: "-".join(
            str(part)
            for part in (
                *(one.get(board.pk, 0) for one in newest),
                revised.get(board.board_model_id, 0),
                of_model.get(board.board_model_id, ""),
                int(board.pk in rested),
            )
        )
        for board in boards
    }


def _newest(
    rows: QuerySet[Event] | QuerySet[Reading] | QuerySet[Intervention],
) -> dict[int, int]:
    grouped = rows.order_by().values_list("board_id").annotate(newest=Max("id"))
    return dict(grouped)


def _rested(board_ids: Sequence[int], now: datetime) -> set[int]:
    """The boards on which nobody has read anything for more than a day."""
    worked = Reading.objects.filter(
        board_id__in=board_ids, taken_at__gte=now - passing.A_DAY
    )
    return set(board_ids) - set(worked.order_by().values_list("board_id", flat=True))
