"""What was passed by and what is not on the board, as the walk shows it."""

from typing import Any
from uuid import uuid4

from django.forms import Form
from django.utils.text import capfirst

from diagnostics import sayings, walk_words
from diagnostics.bridge import Known
from diagnostics.engine.family import Check
from diagnostics.models import PassedBy
from diagnostics.walk import Walk
from diagnostics.walk_forms import PassByForm

Card = dict[str, Any]
CHIPS = (
    PassedBy.Why.CANT_GET_AT,
    PassedBy.Why.LATER,
    PassedBy.Why.NOT_NEEDED,
)


def on_card(walk: Walk, check: Check, just: str, refused: Form | None) -> Card:
    """The way to pass a check by, or that it is passed by; and which ``just`` was."""
    return {
        "form": refused or form(check),
        "chips": [{"value": one.value, "label": one.label} for one in CHIPS],
        "standing": said(walk, check.id),
        "just": said(walk, just),
    }


def form(check: Check) -> PassByForm:
    return PassByForm(initial={"check_id": check.id, "uuid": uuid4()})


def said(walk: Walk, check_id: str) -> Card | None:
    """Who passed a check by, when and why; ``None`` where nobody did."""
    skip = walk.skips.get(check_id)
    if skip is None:
        return None
    check = walk.known.board.check(check_id)
    words = skip.note.text if skip.note else ""
    is_in_words = skip.why == PassedBy.Why.IN_WORDS and words
    return {
        "id": check_id,
        "name": capfirst(sayings.family_text(check.name)),
        "why": words if is_in_words else str(skip.get_why_display()),
        "words": "" if is_in_words else words,
        "by": skip.by.name,
        "at": skip.at,
        "uuid": uuid4(),
    }


def absent(known: Known, stage_id: str) -> list[Card]:
    """The points and rails of a stage that are marked as not on this board."""
    board = known.board
    walked = {check.id for check in board.walk(stage_id)}
    nets = [one.id for one in board.rails.values() if one.stage == stage_id]
    points = [one.id for one in board.points.values() if one.check in walked]
    return [
        {
            "id": what,
            "name": capfirst(walk_words.thing_name(board, what)),
            "by": mark.by.name if mark.by else "",
            "at": mark.at,
        }
        for what in dict.fromkeys([*nets, *points])
        if (mark := known.absent.get(what)) is not None
    ]
