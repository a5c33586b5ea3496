"""What the page of a board model's lore shows, as plain values."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.text import capfirst

from diagnostics import bridge, lore, revisions, sayings, words
from diagnostics.band_strip import strip_of
from diagnostics.engine.bands import Band
from diagnostics.engine.boards import Board as EngineBoard
from diagnostics.engine.lore import Like, Lore, usual_range
from diagnostics.engine.quantities import show
from diagnostics.forms import FITTED
from diagnostics.lore_rules import Entry
from diagnostics.models import Board, BoardModel, Polarity
from shop.people import queries as people

Row = dict[str, Any]


@dataclass(frozen=True)
class Scene:
    """A board model's lore at a moment; ``boards`` by id, ``warranty_days`` now."""

    board: EngineBoard
    lore: Lore
    entries: tuple[Entry, ...]
    boards: dict[int, Board]
    warranty_days: int
    now: datetime


def context_of(model: BoardModel, now: datetime) -> Row:
    patches = {model.pk: revisions.patches_of(model)}
    entries = lore.entries_of([model], patches)[model.pk]
    counting = tuple(one for one in entries if one.counts_at(now))
    ids = {one.good.board for one in counting}
    scene = Scene(
        board=bridge.engine_board(model.family, patches[model.pk]),
        lore=lore.lore_of(counting, now),
        entries=counting,
        boards=Board.objects.in_bulk(ids),
        warranty_days=people.terms_at(model.shop, now).warranty_days,
        now=now,
    )
    return {"model": model, "boards": len(ids), "stages": stages(scene)}


def stages(scene: Scene) -> list[Row]:
    """The points that were read, stage by stage in the order of the walk."""
    likes = scene.lore.goods
    found = []
    for stage in scene.board.family.stages:
        order = [
            point.id for check in scene.board.walk(stage.id) for point in check.points
        ]
        here = sorted(
            (like for like in likes if like.point_id in order),
            key=lambda like: (order.index(like.point_id), sorted(like.fitted)),
        )
        if here:
            name = sayings.family_text(stage.name)
            found.append({"name": name, "rows": [row(scene, one) for one in here]})
    return found


def row(scene: Scene, like: Like) -> Row:
    """One way of reading one point: its band, its picture, each board's reading."""
    point = scene.board.point(like.point_id)
    plain = scene.board.yardstick(
        like.point_id, condition=like.condition, fitted=like.fitted
    )
    band = scene.lore.band(plain, like, point.unit)
    assert band is not None  # made of readings that are there
    goods = [good.value for good in scene.lore.goods[like]]
    yardstick = scene.lore.over(plain, like, point.unit)
    return {
        "title": capfirst(sayings.point_title(scene.board, point)),
        "check": point.check,
        "where": sayings.family_text(point.label) if point.rail else "",
        "taken": taken(scene, like),
        "boards": band.boards,
        "decides": band.decides,
        "next": words.span(*usual_range(band), point.unit),
        "middle": show(band.middle, point.unit),
        "tolerance": sayings.tolerance(band),
        "spread_is_nought": band.spread_is_nought,
        "strip": strip_of(yardstick, goods=goods),
        "readings": [reading(scene, one, band) for one in of_like(scene, like)],
    }


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
    """How all of them were read: meter, condition, probes, what was in the board."""
    mode = scene.board.check(scene.board.point(like.point_id).check).mode
    told = [str(sayings.MODES[mode]), str(sayings.CONDITIONS[like.condition])]
    if mode == "D":
        told.append(str(Polarity(like.polarity).label))
    told += [str(label) for code, label in FITTED if code in like.fitted]
    return ", ".join(told)
