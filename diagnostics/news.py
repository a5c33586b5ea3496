"""What others did to a board since a page was made: whether, and in words."""

from django.db.models import BigIntegerField, Max, OuterRef, Subquery
from django.db.models.functions import Coalesce
from django.utils.translation import gettext as _

from diagnostics import bridge, sayings
from diagnostics.bridge import Known
from diagnostics.models import Board, ConditionSet, PassedBy, Reading
from shop.people.models import Person
from shop.records.models import Event

MOST_TOLD = 3


def version_of(board: Board) -> str:
    """Changes with everything that is read or done at a board; one small query."""
    newest = [
        Subquery(
            rows.filter(board_id=OuterRef("pk"))
            .order_by()
            .values("board_id")
            .annotate(newest=Max("id"))
            .values("newest"),
            output_field=BigIntegerField(),
        )
        for rows in (
            Reading.objects,
            Event.objects,
            ConditionSet.objects,
            PassedBy.objects,
        )
    ]
    found = Board.objects.filter(pk=board.pk).values_list(
        *(Coalesce(one, 0) for one in newest)
    )
    return "-".join(str(number) for number in found.get())


def news(known: Known, seen: str, me: Person) -> list[str]:
    """What others read since version ``seen``, newest last."""
    since = seen.partition("-")[0]
    if not since.isdecimal():
        return []
    others = [
        one
        for one in known.judged
        if one.reading.pk > int(since) and one.reading.by_id != me.pk
    ]
    return [_said(known, one) for one in others[-MOST_TOLD:]]


def _said(known: Known, one: bridge.Judged) -> str:
    return _("%(name)s read %(point)s just now: %(value)s") % {
        "name": one.reading.by.name,
        "point": sayings.point_title(known.board, one.point),
        "value": sayings.reading_value(one.reading),
    }
