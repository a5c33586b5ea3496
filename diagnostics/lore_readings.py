"""What a board model reads: its rails by stage, and at each what good boards read."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any

from django.utils.text import capfirst

from diagnostics import lore, sayings, words
from diagnostics.band_strip import strip_of
from diagnostics.engine.bands import Band
from diagnostics.engine.boards import Board as EngineBoard
from diagnostics.engine.boards import Point, Rail, Stage
from diagnostics.engine.lore import Like, Lore, usual_range
from diagnostics.figures import show
from diagnostics.forms import FITTED
from diagnostics.lore import Patches
from diagnostics.lore_rules import Entry
from diagnostics.models import Board, BoardModel, Polarity
from shop.people import queries as people

Row = dict[str, Any]
EVERY_STAGE = "all"


@dataclass(frozen=True)
class Scene:
    """A board model's lore at a moment; ``boards`` by id, ``warranty_days`` now.

    ``places`` says in words where rails were found on the pictures, by rail id.
    """

    board: EngineBoard
    lore: Lore
    entries: tuple[Entry, ...]
    boards: dict[int, Board]
    warranty_days: int
    now: datetime
    places: Mapping[str, str]

    @cached_property
    def by_point(self) -> dict[str, list[Like]]:
        found: dict[str, list[Like]] = {}
        for like in sorted(self.lore.goods, key=lambda one: sorted(one.fitted)):
            found.setdefault(like.point_id, []).append(like)
        return found

    def band(self, like: Like) -> Band:
        plain = self.board.yardstick(
            like.point_id, condition=like.condition, fitted=like.fitted
        )
        unit = self.board.point(like.point_id).unit
        band = self.lore.band(plain, like, unit)
        assert band is not None  # made of readings that are there
        return band


def scene_of(
    model: BoardModel,
    board: EngineBoard,
    patches: Patches,
    now: datetime,
    places: Mapping[str, str],
) -> Scene:
    entries = lore.entries_of([model], patches, now)[model.pk]
    counting = tuple(one for one in entries if one.counts_at(now))
    ids = {one.good.board for one in counting}
    return Scene(
        board=board,
        lore=lore.lore_of(counting, now),
        entries=counting,
        boards=Board.objects.in_bulk(ids),
        warranty_days=people.terms_at(model.shop, now).warranty_days,
        now=now,
        places=places,
    )


# --- the ladder -------------------------------------------------------------------


def stages(scene: Scene, opened: str) -> list[Row]:
    """From the input to the core; what is folded says its sum in words."""
    return [
        stage_row(scene, stage, is_open=opened in {stage.id, EVERY_STAGE})
        for stage in scene.board.family.stages
        if scene.board.is_fitted(stage.id)
    ]


def stage_row(scene: Scene, stage: Stage, *, is_open: bool) -> Row:
    rails = [
        rail
        for rail in scene.board.rails.values()
        if rail.stage == stage.id and scene.board.is_fitted(rail.id)
    ]
    likes = likes_of(scene, stage)
    by_rail = {
        rail.id: [o for o in likes if rail_of(scene, o) == rail.id] for rail in rails
    }
    others = [o for o in likes if rail_of(scene, o) not in by_rail]
    return {
        "id": stage.id,
        "name": sayings.family_text(stage.name),
        "is_open": is_open,
        "count": len(rails),
        "read": sum(1 for of_rail in by_rail.values() if of_rail),
        "odd": sum(1 for one in likes if scene.band(one).odd),
        "marks": ["resting" if by_rail[rail.id] else "unread" for rail in rails],
        "rails": [rail_row(scene, r, by_rail[r.id]) for r in rails] if is_open else [],
        "others": [row(scene, one) for one in others] if is_open else [],
    }


def likes_of(scene: Scene, stage: Stage) -> list[Like]:
    """Every way of reading that the stage's walk has, in its order."""
    return [
        like
        for check in scene.board.walk(stage.id)
        for point in check.points
        for like in scene.by_point.get(point.id, ())
    ]


def rail_of(scene: Scene, like: Like) -> str | None:
    """The rail whose own figures are read there; across a pair it is none."""
    point = scene.board.point(like.point_id)
    return point.rail if point.pair is None else None


def rail_row(scene: Scene, rail: Rail, likes: Sequence[Like]) -> Row:
    return {
        "id": rail.id,
        "plain": sayings.family_text(rail.name),
        "where": sayings.family_text(rail.where),
        "place": scene.places.get(rail.id, ""),
        "should": words.span(rail.low, rail.high, "V"),
        "is_commanded": rail.is_commanded,
        "mark": "resting" if likes else "unread",
        "rows": [row(scene, like) for like in likes],
    }


# --- one way of reading -------------------------------------------------------------


def row(scene: Scene, like: Like) -> Row:
    """One way of reading one point: its band, its picture, each board's reading."""
    point, band = scene.board.point(like.point_id), scene.band(like)
    plain = scene.board.yardstick(
        like.point_id, condition=like.condition, fitted=like.fitted
    )
    goods = [good.value for good in scene.lore.goods[like]]
    yardstick = scene.lore.over(plain, like, point.unit)
    return {
        "uid": uid_of(like),
        "title": capfirst(sayings.point_title(scene.board, point)),
        "mode": sayings.MODES[scene.board.check(point.check).mode],
        "check": point.check,
        "label": label_of(scene.board, point),
        "taken": taken(scene, like),
        "fitted": ", ".join(fitted_in(like)),
        "boards": band.boards,
        "decides": band.decides,
        "odd": len(band.odd),
        "next": words.span(*usual_range(band), point.unit),
        "middle": show(band.middle, point.unit),
        "tolerance": sayings.tolerance(band),
        "spread_is_nought": band.spread_is_nought,
        "strip": strip_of(yardstick, goods=goods),
        "readings": [reading(scene, one, band) for one in of_like(scene, like)],
    }


def label_of(board: EngineBoard, point: Point) -> str:
    """Which point of its rail it is, where that is not the rail itself."""
    name = sayings.family_text(point.label)
    is_rail = (
        point.rail and name.casefold() == sayings.net_name(board, point.rail).casefold()
    )
    return "" if is_rail or not point.rail else name


def uid_of(like: Like) -> str:
    """A name for one way of reading that may stand in an id of the page."""
    parts = (like.point_id, like.condition, like.polarity, *sorted(like.fitted))
    return "-".join(parts).replace("/", "-").replace(".", "-")


def of_like(scene: Scene, like: Like) -> Iterable[Entry]:
    """The newest counting reading of each board."""
    newest = {one.good.board: one for one in scene.entries if one.like == like}
    return newest.values()


def reading(scene: Scene, one: Entry, band: Band) -> Row:
    board = scene.boards[one.good.board]
    return {
        "value": show(one.good.value, one.unit),
        "board": board.serial or board.marking or str(board.pk),
        "origin": board.get_origin_display(),
        "is_provisional": one.is_provisional(scene.now, scene.warranty_days),
        "is_odd": any(odd.board == one.good.board for odd in band.odd),
        "since": one.since,
    }


def taken(scene: Scene, like: Like) -> str:
    """How all of them were read: condition, probes, what was in the board."""
    mode = scene.board.check(scene.board.point(like.point_id).check).mode
    told = [str(sayings.CONDITIONS[like.condition])]
    if mode == "D":
        told.append(str(Polarity(like.polarity).label))
    return ", ".join([*told, *fitted_in(like)])


def fitted_in(like: Like) -> list[str]:
    return [str(label) for code, label in FITTED if code in like.fitted]
