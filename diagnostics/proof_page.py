"""The page of the proof of repair: what is asked, what is done, what is missing."""

from datetime import datetime
from typing import Any

from diagnostics import (
    proof_again,
    proof_closing,
    proof_photos,
    proof_rows,
    proof_runs,
    proof_words,
    queries,
    sayings,
)
from diagnostics.bridge import Known
from diagnostics.models import ProofItem, ProofLevel
from diagnostics.place import Place
from diagnostics.proof import ITEMS, Level
from diagnostics.proof_again import Again
from diagnostics.proof_rows import Row
from diagnostics.proof_runs import Run
from diagnostics.proof_state import ProofState, has_no_adapter
from shop.intake.models import Ticket
from shop.intake.things import things_of
from shop.people.models import Person, Role

BY_TAPS = frozenset({"cold_start", "sleep_wake"})


def page(ticket: Ticket, person: Person, now: datetime) -> dict[str, Any]:
    boards = list(queries.known_of_all(list(queries.boards_of(ticket))).values())
    missing = proof_closing.missing_of(ticket, boards)
    state = missing.proof
    again = [
        (known, one) for known in boards for one in proof_again.to_read(known, ticket)
    ]
    runs = proof_runs.unanswered(ticket, now)
    named = [proof_words.again(known, one.before) for known, one in again]
    return {
        "level": level(state, person, ticket),
        "still": proof_words.still_to_do(state, named),
        "reached": proof_rows.level_said(state),
        "items": [item(state, row, runs, ticket, now) for row in asked(state, runs)],
        "left_out": proof_rows.left_out(state),
        "has_no_adapter": has_no_adapter(ticket),
        "again": [read_again(known, one, ticket) for known, one in again],
        "has_work": any(known.work for known in boards),
        "things": things_of(ticket),
        "is_counted": missing.is_counted,
        "counted": proof_closing.COUNTED,
        "photos": photos(ticket),
        "most_photos": proof_photos.MOST,
        "missing": missing.said(),
        "has_board": bool(boards),
        "ended": proof_closing.ended(ticket),
        "looked_at": proof_closing.looked_at(ticket),
        "is_closed": queries.is_closed(ticket),
        "board_url": Place(ticket, boards[0].row).url() if boards else "",
    }


def asked(state: ProofState, runs: dict[str, Run]) -> list[Row]:
    """The level's items, and whatever else was done or is running."""
    rows = {row.item: row for row in proof_rows.rows_of(state)}
    for name in runs:
        rows.setdefault(name, proof_rows.row_of(state, name))
    return [rows[name] for name in ITEMS if name in rows]


def level(state: ProofState, person: Person, ticket: Ticket) -> dict[str, Any]:
    is_owner = person.memberships.filter(
        shop_id=ticket.shop_id, role=Role.OWNER
    ).exists()
    may_be_short = is_owner or state.case.suggested is Level.SHORT
    return {
        "asked": proof_words.LEVEL_NAMES[state.level],
        "is_chosen": state.is_chosen,
        "why": proof_words.suggestion(state),
        "choices": [
            {
                "id": one.value,
                "label": one.label,
                "is_chosen": one.value == state.level,
                "may": may_be_short or one == ProofLevel.Level.FULL,
            }
            for one in ProofLevel.Level
        ],
    }


def item(
    state: ProofState, row: Row, runs: dict[str, Run], ticket: Ticket, now: datetime
) -> dict[str, Any]:
    """One item with the way it is recorded: taps, ticks, a run, or one word."""
    is_run = ITEMS[row.item].is_left_alone
    ticks = proof_rows.ticks(state, row.item)
    minutes = (
        proof_runs.planned_minutes(row.item, state.level, ticket.shop, now)
        if is_run
        else 0
    )
    return {
        "row": row,
        "passes": proof_words.PASSES[row.item],
        "way": way_of(row.item, is_run=is_run, has_ticks=bool(ticks)),
        "ticks": ticks,
        "run": runs.get(row.item),
        "minutes": minutes,
        "may_take_back": any(
            one.item == row.item and one.result != ProofItem.Result.TAKEN_BACK
            for one in state.rows
        )
        and bool(row.stand.result),
    }


def way_of(name: str, *, is_run: bool, has_ticks: bool) -> str:
    if name in BY_TAPS:
        return "taps"
    if is_run:
        return "run"
    return "ticks" if has_ticks else "word"


def read_again(known: Known, one: Again, ticket: Ticket) -> dict[str, Any]:
    """A point to read again, and the way straight to its check."""
    reading = one.before.reading
    return {
        "name": sayings.row_title(known.board, one.before.check, one.before.point),
        "rail": one.before.point.rail or "",
        "value": sayings.reading_value(reading),
        "word": one.before.verdict.word.value,
        "mode": sayings.MODES.get(reading.mode, reading.mode),
        "condition": sayings.CONDITIONS.get(reading.condition, ""),
        "now": sayings.reading_value(one.last.reading) if one.last else "",
        "now_word": one.last.verdict.word.value if one.last else "",
        "is_otherwise": one.is_otherwise,
        "url": Place(ticket, known.row).url(
            check=one.before.check.id, point=one.before.point.id
        ),
    }


def photos(ticket: Ticket) -> list[dict[str, Any]]:
    on = {photo.pk for photo in proof_photos.chosen(ticket)}
    return [
        {"photo": photo, "is_on": photo.pk in on}
        for photo in proof_photos.fit_for_sheet(ticket)
    ]
