"""What was said before the repairs of a time, for who counts it: a few queries.

As in ``calibrating``, the last advice of its ticket before the repair stands against
the proven finding, never by hindsight. Advice holds every suspect, so that of many
repairs the newest thousand count.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import F, QuerySet

from diagnostics import bridge, revisions
from diagnostics.calibrating import first_part, foretold, proven
from diagnostics.engine.boards import Board
from diagnostics.models import (
    Advice,
    BoardModel,
    Reading,
    ReadingSource,
)
from shop.people.models import Shop

MOST = 1000
STRUCK = "struck"
ADDED = "added"


@dataclass(frozen=True)
class Forecast:
    """A repair that proved a part, and what had been said of it.

    ``share`` is that of the ``part`` said first, all its ways of failing together.
    ``struck`` and ``added`` are suspects that technicians had a word on.
    """

    repair: int
    model: int
    part: str
    share: float
    proven: tuple[str, str]
    struck: frozenset[tuple[str, str]]
    added: frozenset[tuple[str, str]]

    @property
    def was_right(self) -> bool:
        """Whatever its way of failing."""
        return self.part == self.proven[0]


def of_period(shop: Shop, since: datetime, until: datetime) -> list[Forecast]:
    """Of findings proven in a time, the newest first; two queries."""
    found = list(_findings(shop, since, until)[:MOST])
    wanted = [row["said"] for row in found]
    said = Advice.objects.filter(pk__in=wanted).values("pk", "suspects", "words")
    kept = {row["pk"]: row for row in said}
    return [_forecast(row, kept[row["said"]]) for row in found]


def _findings(shop: Shop, since: datetime, until: datetime) -> QuerySet[Any]:
    rows = foretold(proven(shop).filter(at__gte=since, at__lt=until))
    columns = ("repair", "said", "part_id", "mode_id", "board__board_model")
    return rows.filter(said__isnull=False).order_by("-id").values(*columns)


def _forecast(row: Mapping[str, Any], said: Mapping[str, Any]) -> Forecast:
    part, share = first_part(said["suspects"])
    return Forecast(
        repair=row["repair"],
        model=row["board__board_model"],
        part=part,
        share=share,
        proven=(row["part_id"], row["mode_id"]),
        struck=_words(said["words"], STRUCK),
        added=_words(said["words"], ADDED),
    )


def _words(words: Sequence[Mapping[str, Any]], kind: str) -> frozenset[tuple[str, str]]:
    return frozenset(
        (word["part"], word["mode"]) for word in words if word["kind"] == kind
    )


# --- what was measured for it -------------------------------------------------------


def points_before(repairs: Sequence[int]) -> dict[int, set[str]]:
    """By repair, the points that were read on its ticket before it; one query."""
    rows = Reading.objects.filter(
        board__interventions__in=repairs,
        board__interventions__epoch__gt=F("epoch"),
        board__interventions__ticket=F("ticket"),
        source=ReadingSource.OURS,
    ).order_by()
    found: dict[int, set[str]] = {}
    pairs = rows.values_list("board__interventions", "point_id").distinct()
    for repair, point_id in pairs:
        found.setdefault(repair, set()).add(point_id)
    return found


def boards_of_models(models: Sequence[int]) -> dict[int, Board]:
    """The engine's board of each board model, as it is now; two queries."""
    patches = revisions.patches_of_all(set(models))
    rows = BoardModel.objects.filter(pk__in=set(models)).values_list("pk", "family")
    return {pk: bridge.engine_board(family, patches.get(pk, {})) for pk, family in rows}
