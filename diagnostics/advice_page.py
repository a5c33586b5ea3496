"""What the page of kept advice shows: bins of what was said, and the newest rows."""

from operator import attrgetter
from typing import Any

from django.db.models import BigIntegerField
from django.db.models.functions import Coalesce

from diagnostics import advice_words, bridge, calibrating, revisions, sayings
from diagnostics.calibrating import AFTERWARDS, first_part
from diagnostics.engine.boards import Board as EngineBoard
from diagnostics.engine.calibration import Bin
from diagnostics.models import Advice, Board, Finding
from shop.people.models import Person, Shop

NEWEST = 50
Row = dict[str, Any]


def context_of(shop: Shop) -> Row:
    return {
        "bins": [of_bin(one) for one in calibrating.of_shop(shop)],
        "rows": advice_rows(newest(shop)),
    }


def newest(shop: Shop) -> list[Advice]:
    """Those kept last, in the order of when it was said.

    Compared by an expression, the shop lets the database begin at the newest row;
    by its column, SQLite sorts all the shop's advice.
    """
    whose = Coalesce("board__shop_id", 0, output_field=BigIntegerField())
    rows = Advice.objects.annotate(whose=whose).filter(whose=shop.pk)
    kept = rows.select_related("board__board_model", "ticket", "by").order_by("-id")
    return sorted(kept[:NEWEST], key=attrgetter("at", "pk"), reverse=True)


def of_bin(one: Bin) -> Row:
    return {
        "about": advice_words.said_about(one),
        "right": one.right,
        "said": one.said,
        "is_telling": one.is_telling,
        "interval": advice_words.interval(one),
    }


def advice_rows(rows: list[Advice]) -> list[Row]:
    """Each row with what its ticket's board turned out to be."""
    boards = {row.board_id: row.board for row in rows}
    engine = engine_boards(list(boards.values()))
    found = findings_of(list(boards))
    people = names_of(rows)
    return [advice_row(row, engine[row.board_id], found, people) for row in rows]


def engine_boards(boards: list[Board]) -> dict[int, EngineBoard]:
    patches = revisions.patches_of_all({board.board_model_id for board in boards})
    return {
        board.pk: bridge.engine_board(
            board.board_model.family, patches.get(board.board_model_id, {})
        )
        for board in boards
    }


def findings_of(board_ids: list[int]) -> list[Finding]:
    return list(
        Finding.objects.filter(board_id__in=board_ids, is_proven=True).order_by("id")
    )


def names_of(rows: list[Advice]) -> dict[int, str]:
    """Who had said a word on a suspect, by id."""
    ids = {word["by"] for row in rows for word in row.words}
    return dict(Person.objects.filter(pk__in=ids).values_list("pk", "name"))


def advice_row(
    row: Advice, board: EngineBoard, found: list[Finding], people: dict[int, str]
) -> Row:
    """The first finding from that moment on is what it turned out to be."""
    later = [
        one
        for one in found
        if (one.board_id, one.ticket_id) == (row.board_id, row.ticket_id)
        and one.at >= row.at
        and one.cause == Finding.Cause.PART
    ]
    finding = later[0] if later else None
    return {
        "row": row,
        "moment": row.get_moment_display(),
        "said": said(row, board),
        "was": sayings.suspect_title(board, finding.part_id, finding.mode_id)
        if finding
        else "",
        "is_forecast": row.moment not in AFTERWARDS,
        "is_right": finding is not None
        and bool(row.suspects)
        and first_part(row.suspects)[0] == finding.part_id,
        "offer": point_title(board, row.next_check),
        "words": [word_of(word, board, finding, people) for word in row.words],
    }


def said(row: Advice, board: EngineBoard) -> Row | None:
    if not row.suspects:
        return None
    part, share = first_part(row.suspects)
    return {
        "title": sayings.suspect_title(board, part, ""),
        "percent": sayings.percent(share),
    }


def point_title(board: EngineBoard, point_id: str) -> str:
    point = board.points.get(point_id)
    if point is None:
        return point_id
    return sayings.row_title(board, board.check(point.check), point)


def word_of(
    word: Row, board: EngineBoard, finding: Finding | None, people: dict[int, str]
) -> Row:
    """A technician's word on a suspect, and whether it held."""
    is_it = finding is not None and (
        finding.part_id,
        finding.mode_id,
    ) == (word["part"], word["mode"])
    return {
        "kind": word["kind"],
        "name": people.get(word["by"], ""),
        "title": sayings.suspect_title(board, word["part"], word["mode"]),
        "is_settled": finding is not None,
        "was_right": is_it if word["kind"] == "added" else not is_it,
    }
