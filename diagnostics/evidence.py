"""Before and after: the readings of a ticket at the same points, for the papers.

What comes out is plain data with the verdict words of now: an invoice freezes
it, so that a better yardstick next year changes no issued paper.
"""

from collections.abc import Mapping
from typing import Any

from diagnostics import ladders, passing, proof_again, queries, sayings, words
from diagnostics.bridge import HOUSEKEEPING, Judged, Known
from diagnostics.ladders import Shown
from diagnostics.models import ReadingOutcome
from shop.intake.models import Ticket

WORST_FIRST = ("bad", "watch", "unclear", "good")
# What a verdict draws where no rail has a rung of its own.
RUNG_OF = {"good": "up", "watch": "odd", "bad": "down", "unclear": "unread"}

Row = dict[str, Any]


def of_ticket(ticket: Ticket) -> list[Row]:
    """The before and after rows of every board of a ticket."""
    return [
        row
        for board in queries.boards_of(ticket)
        for row in of_board(queries.known_of(board), ticket)
    ]


def for_an_invoice(ticket: Ticket) -> list[Row]:
    """What was wrong and what is there now; the rest is on the proof sheet."""
    return [row for row in of_ticket(ticket) if not was_good_all_along(row)]


def was_good_all_along(row: Row) -> bool:
    sides = (row["before"], row["after"])
    return all(side is not None and side["verdict"] == "good" for side in sides)


def of_board(known: Known, ticket: Ticket) -> list[Row]:
    before, after = sides(known, ticket)
    ladder = {
        "before": ladders.rungs(known, ladders.as_it_came(known, ticket)),
        "after": ladders.rungs(known, ladders.now(known)),
    }
    rows = []
    for point_ids in of_one_row(known, {*before, *after}):
        first, last = pair(before, after, point_ids)
        if tells_something(first, last):
            rows.append(row(known, ladder, first, last))
    return rows


def of_one_row(known: Known, point_ids: set[str]) -> list[list[str]]:
    """Points in walk order; those of one check on one rail share a row."""
    rows: dict[tuple[str, str], list[str]] = {}
    for point_id in in_walk_order(known, point_ids):
        point = known.board.point(point_id)
        rows.setdefault((point.check, point.rail or point_id), []).append(point_id)
    return list(rows.values())


def pair(
    before: Mapping[str, Judged], after: Mapping[str, Judged], point_ids: list[str]
) -> tuple[Judged | None, Judged | None]:
    """Of the points of one row, the one that tells the worst: its two readings.

    One that is bad now comes first, then the worst before; always one and the same
    point on both sides.
    """
    pairs = [(before.get(one), after.get(one)) for one in point_ids]
    return min(pairs, key=lambda two: (is_good_now(two[1]), *map(severity, two)))


def is_good_now(one: Judged | None) -> bool:
    return one is None or one.verdict.word.value != "bad"


def severity(one: Judged | None) -> int:
    return WORST_FIRST.index(one.verdict.word.value) if one else len(WORST_FIRST)


def sides(known: Known, ticket: Ticket) -> tuple[dict[str, Judged], dict[str, Judged]]:
    """The newest reading of each point before the first intervention, and after it.

    What was read otherwise after (another mode, condition or polarity, or with other
    things fitted) is no "after" of it.
    """
    ours = [
        one
        for one in passing.our_judged(known)
        if one.reading.ticket_id == ticket.pk
        and one.check.id not in HOUSEKEEPING
        and one.reading.outcome != ReadingOutcome.NOT_FITTED
    ]
    first = min((one.reading.epoch for one in ours), default=0)
    before = {o.reading.point_id: o for o in ours if o.reading.epoch == first}
    after = {
        o.reading.point_id: o
        for o in ours
        if o.reading.epoch > first and is_comparable(before, o)
    }
    return before, after


def is_comparable(before: Mapping[str, Judged], later: Judged) -> bool:
    first = before.get(later.reading.point_id)
    return first is None or proof_again.is_like(first, later)


def tells_something(first: Judged | None, last: Judged | None) -> bool:
    """Read on both sides, bad before, or decided now though not read before."""
    if first is not None and last is not None:
        return True
    if first is not None:
        return first.verdict.word.value == "bad"
    return last is not None and last.verdict.word.value != "unclear"


def in_walk_order(known: Known, point_ids: set[str]) -> list[str]:
    order = [
        point.id
        for stage in known.board.family.stages
        for check in known.board.walk(stage.id)
        for point in check.points
    ]
    return [point_id for point_id in order if point_id in point_ids]


def row(
    known: Known,
    ladder: dict[str, dict[str, Shown]],
    first: Judged | None,
    last: Judged | None,
) -> Row:
    one = last or first
    assert one is not None
    return {
        "rail": one.point.rail or "",
        "name": sayings.row_title(known.board, one.check, one.point),
        "check": one.check.id,
        "point": one.point.id,
        "before": side(ladder["before"], first),
        "after": side(ladder["after"], last),
        "should_read": sayings.should_read(one.yardstick),
    }


def side(rungs: dict[str, Shown], one: Judged | None) -> Row | None:
    if one is None:
        return None
    return {
        "rung": rung_of(rungs, one),
        "value": sayings.reading_value(one.reading),
        "verdict": one.verdict.word.value,
        "verdict_word": words.verdict_name(one.verdict.word.value),
        "at": one.reading.taken_at.isoformat(),
        "epoch": one.reading.epoch,
        "reading": one.reading.pk,
    }


def rung_of(rungs: Mapping[str, Shown], one: Judged) -> str:
    shown = rungs.get(one.point.rail or "")
    return shown.rung.word if shown else RUNG_OF[one.verdict.word.value]
