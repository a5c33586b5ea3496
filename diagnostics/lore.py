"""Board lore: which readings of which boards say what a model reads, and since when.

Readings of three kinds count, each from a moment on:

* of a reference session on a known-good or donor board, when taken;
* taken after the repair of a board that was proven fixed, when its ticket ended so;
* taken before it, where the fault can't have touched them and a technician kept them.

None counts any longer once its board is found faulty there. All of it can be
reckoned anew from readings and findings; the cache only spares that.
"""

import hashlib
import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import datetime
from functools import partial
from typing import Any, TypeVar

from django.db.models import (
    Count,
    Exists,
    Max,
    Min,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
)
from django.utils import timezone

from diagnostics import bridge, revisions
from diagnostics.bridge import LoreAt
from diagnostics.engine.bands import Good
from diagnostics.engine.boards import Board as EngineBoard
from diagnostics.engine.lore import NO_LORE, Like, Lore
from diagnostics.lore_newest import newest_of
from diagnostics.lore_rules import Entry, Facts, entries_of_board, untouched
from diagnostics.models import (
    Board,
    BoardModel,
    Finding,
    Intervention,
    Origin,
    Reading,
    ReadingOutcome,
    ReadingSource,
)
from shop.intake.models import ClosingKind, Handover, Outcome, Ticket
from shop.records.by_key import by_key
from shop.records.cache import cache
from shop.records.kinds import Kind
from shop.records.models import Event

Row = TypeVar("Row", Reading, Intervention, Finding)
Patches = Mapping[int, dict[str, Any]]
KEPT_SECONDS = 24 * 60 * 60
REFERENCES = (Origin.KNOWN_GOOD, Origin.DONOR)
# What may make a reading count, or count no more.
OF_A_BOARD = (
    Kind.INTERVENTION_DONE.value,
    Kind.BOARD_JOINED.value,
    Kind.FINDING_CONFIRMED.value,
    Kind.LORE_KEPT.value,
    Kind.READING_STRUCK.value,
)
TELLING = (*OF_A_BOARD, Kind.OUTCOME_RECORDED.value, Kind.TICKET_CLOSED.value)


def lores(boards: Sequence[Board], patches: Patches) -> dict[int, LoreAt]:
    """By board id, what the other good boards of its model read at a moment.

    What counts is loaded for all of them once the first is asked; which boards are
    the newest is told as of then.
    """
    models = {board.board_model_id: board.board_model for board in boards}
    alone = boards[0].pk if len(boards) == 1 else None
    kept: dict[int, tuple[Entry, ...]] = {}

    def at(board: Board, now: datetime) -> Lore:
        if not kept:
            kept.update(entries_of(list(models.values()), patches, now, but=alone))
        return lore_of(kept[board.board_model_id], now, but=board.pk)

    return {board.pk: partial(at, board) for board in boards}


def lore_of(entries: Iterable[Entry], now: datetime, but: int | None = None) -> Lore:
    """The newest counting reading of each board; without the board itself."""
    newest = {
        (one.like, one.good.board): one.good
        for one in entries
        if one.good.board != but and one.counts_at(now)
    }
    goods: dict[Like, list[Good]] = {}
    for (like, _board), good in newest.items():
        goods.setdefault(like, []).append(good)
    found = {like: tuple(of_boards) for like, of_boards in goods.items()}
    return Lore(found) if found else NO_LORE


def marks(models: Sequence[BoardModel]) -> dict[int, str]:
    """By board model id, a mark that changes with all that its lore rests on."""
    return _keys(models, {}, timezone.now(), None)


def untouched_of(board: Board, ticket: Ticket | None) -> list[Reading]:
    """What may be kept as good: read before a proven repair, out of its reach."""
    if ticket is None or not ticket.findings.filter(is_proven=True).exists():
        return []
    patches = revisions.patches_of(board.board_model)
    engine_board = bridge.engine_board(board.board_model.family, patches)
    return untouched(engine_board, facts_of([board])[board.pk], ticket.pk)


# --- loading --------------------------------------------------------------------


def entries_of(
    models: Sequence[BoardModel],
    patches: Patches,
    now: datetime,
    *,
    but: int | None = None,
) -> dict[int, tuple[Entry, ...]]:
    """By board model id, what ever counted of its newest boards as of a moment.

    Without one board where it says so. Kept under all it is made from, so that a
    reading on the board left out makes nothing anew.
    """
    keys = _keys(models, patches, now, but)
    kept = cache.get_many(keys.values())
    found: dict[int, tuple[Entry, ...]] = {}
    for model in models:
        key = keys.get(model.pk)
        if key is not None and key not in kept:
            kept[key] = _of_model(model, patches.get(model.pk, {}), now, but)
            cache.set(key, kept[key], KEPT_SECONDS)
        found[model.pk] = kept[key] if key is not None else ()
    return found


def boards_counted(models: Collection[int], now: datetime) -> QuerySet[Board]:
    """Of each model all references, and the newest whose repair proved a finding.

    As of a moment, so that no board that came later takes the place of another.
    """
    findings = Finding.objects.filter(board=OuterRef("pk"), is_proven=True, at__lte=now)
    repaired = Board.objects.filter(Exists(findings), origin=Origin.CUSTOMER)
    newest = repaired.filter(newest_of(repaired, models).which).values("pk")
    references = Board.objects.filter(board_model__in=models, origin__in=REFERENCES)
    return Board.objects.filter(pk__in=references.values("pk").union(newest, all=True))


def _keys(
    models: Sequence[BoardModel], patches: Patches, now: datetime, but: int | None
) -> dict[int, str]:
    """By board model id; events and rows only grow, so the newest says it all.

    A model of which no board may count has none.
    """
    boards = boards_counted([model.pk for model in models], now).order_by()
    counted = boards.values_list("board_model_id").annotate(
        many=Count("id", distinct=True),
        oldest=Min("id"),
        left_out=Count("id", filter=Q(pk=but)),
        read=Max("readings__id", filter=~Q(pk=but or 0)),
    )
    found = list(counted)
    if not found:
        return {}
    shops = {model.shop_id for model in models}
    told = by_key(shops, TELLING).order_by("-pk").values_list("pk", flat=True).first()
    return {
        pk: f"lore-{pk}-{told}-{read}-{many}-{oldest}-"
        f"{but if left_out else ''}-{_digest(patches.get(pk, {}))}"
        for pk, many, oldest, left_out, read in found
    }


def _digest(patches: dict[str, Any]) -> str:
    text = json.dumps(patches, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _of_model(
    model: BoardModel, patches: dict[str, Any], now: datetime, but: int | None
) -> tuple[Entry, ...]:
    """Put together from what is kept board by board: only what changed is loaded."""
    keyed = boards_by_key(model, patches, now, but)
    boards = list(keyed.values())
    keys = {board.pk: key for key, board in keyed.items()}
    kept = cache.get_many(keyed)
    missing = [board for board in boards if keys[board.pk] not in kept]
    made = _load(missing, bridge.engine_board(model.family, patches))
    cache.set_many({keys[pk]: made[pk] for pk in made}, KEPT_SECONDS)
    return tuple(
        entry
        for board in boards
        for entry in made.get(board.pk) or kept.get(keys[board.pk], ())
    )


def boards_by_key(
    model: BoardModel,
    patches: dict[str, Any],
    now: datetime,
    but: int | None = None,
) -> dict[str, Board]:
    """The boards that tell of a model, by a key of all that each rests on."""
    boards = boards_counted([model.pk], now).exclude(pk=but or 0)
    digest = _digest(patches)
    return {_key(board, digest): board for board in _marked(boards).order_by("id")}


def _marked(boards: QuerySet[Board]) -> QuerySet[Board]:
    """Each with the newest of all that its entries rest on."""
    told = Event.objects.filter(board_id=OuterRef("pk"), kind__in=OF_A_BOARD)
    of_ticket = {"ticket__ticket_boards__board": OuterRef("pk")}
    return boards.annotate(
        read=_newest(Reading.objects.filter(board=OuterRef("pk"))),
        told=_newest(told),
        ended=_newest(Outcome.objects.filter(**of_ticket)),
        handed=_newest(Handover.objects.filter(**of_ticket)),
    )


def _newest(
    rows: QuerySet[Reading] | QuerySet[Event] | QuerySet[Outcome] | QuerySet[Handover],
) -> Subquery:
    return Subquery(rows.order_by("-id").values("pk")[:1])


def _key(board: Board, digest: str) -> str:
    newest = (getattr(board, name) for name in ("read", "told", "ended", "handed"))
    mark = "-".join(str(pk or 0) for pk in (board.pk, *newest))
    return f"lore-of-{mark}-{digest}"


def _load(
    boards: Sequence[Board], engine_board: EngineBoard
) -> dict[int, tuple[Entry, ...]]:
    if not boards:
        return {}
    facts = facts_of(boards)
    return {
        board.pk: tuple(entries_of_board(engine_board, facts[board.pk]))
        for board in boards
    }


def facts_of(boards: Sequence[Board]) -> dict[int, Facts]:
    """By board id; as many queries for many boards as for one."""
    readings = (
        Reading.objects.filter(
            board__in=boards,
            source=ReadingSource.OURS,
            outcome=ReadingOutcome.VALUE,
        )
        .exclude(pk__in=_struck(boards))
        .select_related("meter", "kept_good")
        .order_by("taken_at", "id")
    )
    read = _by_board(readings)
    done = _by_board(Intervention.objects.filter(board__in=boards).order_by("epoch"))
    found = _by_board(Finding.objects.filter(board__in=boards).order_by("id"))
    fixed = _moments(Outcome.objects.filter(kind=ClosingKind.FIXED), boards)
    closed = _moments(Handover.objects.all(), boards)
    return {
        board.pk: Facts(
            board=board,
            readings=read.get(board.pk, []),
            interventions=done.get(board.pk, []),
            findings=found.get(board.pk, []),
            kept=_kept(read.get(board.pk, [])),
            fixed=fixed,
            handed_over=closed,
        )
        for board in boards
    }


def _struck(boards: Sequence[Board]) -> QuerySet[Event, int | None]:
    struck = Event.objects.filter(
        board_id__in=[board.pk for board in boards], kind=Kind.READING_STRUCK
    )
    return struck.values_list("reading_id", flat=True)


def _by_board(rows: Iterable[Row]) -> dict[int, list[Row]]:
    found: dict[int, list[Row]] = {}
    for row in rows:
        found.setdefault(row.board_id, []).append(row)
    return found


def _moments(
    rows: QuerySet[Outcome] | QuerySet[Handover], boards: Sequence[Board]
) -> dict[int, datetime]:
    """By ticket id, when it came to that."""
    joined = rows.filter(ticket__ticket_boards__board__in=boards)
    return dict(joined.values_list("ticket_id", "at"))


def _kept(readings: Iterable[Reading]) -> dict[int, datetime]:
    kept = ((reading.pk, getattr(reading, "kept_good", None)) for reading in readings)
    return {pk: row.at for pk, row in kept if row is not None}
