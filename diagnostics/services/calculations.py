"""Calculations: kept with what they were made from, and stored as readings."""

import uuid as uuids
from collections.abc import Mapping
from dataclasses import asdict
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics import bridge, calculating, calculator_facts, queries
from diagnostics.calculating import Reckoned
from diagnostics.calculator_facts import Facts
from diagnostics.engine.calculators.registry import CALCULATORS
from diagnostics.models import Board, Calculation, Reading
from diagnostics.refusals import OtherContents
from diagnostics.services.readings import reading_take
from diagnostics.services.telling import refuse_apart, refuse_closed
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused


@transaction.atomic
def calculation_keep(
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person,
    calculator_id: str,
    typed: Mapping[str, str],
    uuid: uuids.UUID | None = None,
    point_id: str = "",
    store: str = "",
    at: datetime | None = None,
) -> Calculation:
    """Keep a calculation; ``store`` names the result that becomes a reading too.

    Raises ``NotReckoned`` where it has no result, ``HeldOff`` where a gate forbids
    the check: then nothing is kept. The same uuid again gives the same row; with
    other contents it is refused.
    """
    at = at or timezone.now()
    Board.objects.select_for_update().get(pk=board.pk)
    known = queries.known_of(board, at=at)
    refuse_apart(board, ticket)
    refuse_closed(ticket)
    facts = Facts(known, point_id)
    asked = {**typed, **calculator_facts.settled(calculator_id, facts)}
    kept = Calculation.objects.filter(uuid=uuid).first() if uuid else None
    if kept is not None:
        return _same_or_refuse(kept, board, calculator_id, asked)
    reckoned = calculating.reckon(CALCULATORS[calculator_id], asked)
    reading = None
    if store:
        whose = {"ticket": ticket, "by": by, "taken_at": at}
        reading = _stored(facts, reckoned, store, **whose)
    return Calculation.objects.create(
        uuid=uuid or uuids.uuid4(),
        board=board,
        ticket=ticket,
        epoch=known.epoch,
        calculator_id=calculator_id,
        point_id=point_id if facts.point else "",
        typed=calculating.as_typed(calculator_id, asked),
        inputs=dict(reckoned.filled.values),
        result=reckoned.found,
        reasons=[asdict(one) for one in reckoned.result.reasons],
        engine_version=bridge.ENGINE_VERSION,
        reading=reading,
        by=by,
        at=at,
    )


def _stored(facts: Facts, reckoned: Reckoned, store: str, **whose: Any) -> Reading:
    """The reading of the figure's point, through the gates like any other."""
    places = calculating.storable(facts.known, facts.point_id, reckoned)
    place = next((one for one in places if one.output.name == store), None)
    if place is None:
        raise Refused(_("This result is no reading of that check."))
    return reading_take(
        board=facts.known.row,
        point_id=place.point.id,
        **whose,
        **calculating.reading_fields(reckoned, place.output),
    )


def _same_or_refuse(
    kept: Calculation, board: Board, calculator_id: str, asked: Mapping[str, str]
) -> Calculation:
    """The kept row where it says the same; what the board told may have changed."""
    is_same = (kept.board_id, kept.calculator_id) == (board.pk, calculator_id)
    if not is_same or calculating.as_typed(kept.calculator_id, asked) != kept.typed:
        raise OtherContents
    return kept
