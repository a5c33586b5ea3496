"""What the ticket page shows of the counter's room, rendered on the server."""

from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.http import HttpRequest
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import SafeString

from shop.intake import promising, queries, words
from shop.intake.models import Answer, Ticket
from shop.intake.story import PARTS, current_notes
from shop.intake.turn import PARKED, Piece, Turn, Whose
from shop.people import queries as people
from shop.people.models import Person, Role
from shop.printing.services import printers_of

STRIP_WIDTH = 340
AT_THE_COUNTER = {Role.FRONT_DESK, Role.OWNER}
MOST_EVENTS = 200


@dataclass(frozen=True)
class Stretch:
    """A piece of the turn strip as it is drawn: where, how wide, how long."""

    piece: Piece
    x: int
    width: int
    words: str


def panel(
    ticket: Ticket,
    person: Person,
    request: HttpRequest | None = None,
    *,
    between: SafeString | None = None,
) -> SafeString:
    """The story card and what happened; ``between`` them a panel of another room."""
    notes = current_notes(ticket)
    context = {
        "between": between or "",
        "ticket": ticket,
        "story": [(label, notes.get(part)) for part, label in PARTS.items()],
        "events": queries.events_of(ticket)[:MOST_EVENTS],
    }
    return render_to_string("intake/_panel.html", context, request=request)


def turn(
    ticket: Ticket, person: Person, request: HttpRequest | None = None
) -> SafeString:
    """Whose turn it is, with the strip, and the things to give back."""
    now = timezone.now()
    _shop, roles = people.place_of(person)
    turn = queries.turn_of(ticket, now)
    breaking = promising.breaking(ticket.shop, [ticket], {ticket.pk: turn}, now)
    context = turn_of(turn) | {
        "now": now,
        "breaking": breaking.get(ticket.pk),
        "ticket": ticket,
        "things": queries.things_of(ticket),
        "may_give_back": bool(roles & AT_THE_COUNTER),
        "has_outcome": hasattr(ticket, "outcome"),
        "station_prints": printers_of(getattr(request, "station", None)),
        "is_hot": ticket.hot_or_swollen in {Answer.YES, Answer.UNSURE},
    }
    return render_to_string("intake/_panel_turn.html", context, request=request)


def turn_of(turn: Turn) -> dict[str, Any]:
    return {
        "turn": turn,
        "stretches": stretches(turn),
        "is_closed": turn.whose == Whose.NOBODY,
        "is_parked": turn.part == PARKED or turn.waits_for.startswith("parked_"),
    }


def _said(piece: Piece) -> str:
    """ "Ours, in hands 2 hours": whose, which part of ours, how long."""
    named = [words.whose_word(piece.whose), words.part_word(piece.part)]
    return f"{', '.join(filter(None, named))} {words.span(piece.length)}"


def stretches(turn: Turn, width: int = STRIP_WIDTH) -> list[Stretch]:
    """The strip's pieces, drawn to scale on ``width`` units."""
    if not turn.pieces:
        return []
    start, whole = turn.pieces[0].start, max(turn.age, timedelta(seconds=1))

    def place(length: timedelta) -> int:
        return round(width * (length / whole))

    return [
        Stretch(
            piece=piece,
            x=place(piece.start - start),
            width=place(piece.end - start) - place(piece.start - start),
            words=_said(piece),
        )
        for piece in turn.pieces
    ]
