"""Guided part tests: started, their steps taken and taken back."""

import uuid as uuids
from datetime import datetime
from typing import Any, TypeVar

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics import bridge, bridge_parts, holding, queries
from diagnostics.engine.guided import TAKE_BACK, Said, answer_of
from diagnostics.engine.packages import Setup
from diagnostics.models import Board, Meter, PartTest, PartTestStep
from diagnostics.refusals import OtherContents
from diagnostics.services.boards import board_take
from diagnostics.services.telling import refuse_apart, refuse_closed
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused

Row = TypeVar("Row", PartTest, PartTestStep)


@transaction.atomic
def part_test_start(
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person,
    label: str,
    setup: Setup | None = None,
    meter: Meter | None = None,
    uuid: uuids.UUID | None = None,
    at: datetime | None = None,
) -> PartTest:
    """Begin a test of one part; without a setup it asks what the part is.

    What the meter gives in diode mode and the leads' ohms in force are kept with
    it. The same uuid again gives the same test; with other contents it is refused.
    """
    Board.objects.select_for_update().get(pk=board.pk)
    refuse_closed(ticket)
    refuse_apart(board, ticket)
    if not label.strip():
        raise Refused(_("Say which part it is and where it sits."), field="label")
    at = at or timezone.now()
    leads = queries.lead_ohms(board.shop, by, meter, at) or 0.0
    row = PartTest(
        uuid=uuid or uuids.uuid4(),
        board=board,
        ticket=ticket,
        epoch=queries.epoch_of(board),
        kind=PartTest.Kind.MOSFET if setup else PartTest.Kind.CHIP,
        label=label.strip(),
        setup=kept(setup, meter, leads),
        meter=meter,
        by=by,
        started_at=at,
    )
    same = PartTest.objects.filter(uuid=row.uuid).first()
    if same is not None:
        return same_or_refuse(same, row, "board_id", "by_id", "kind", "label", "setup")
    row.save(force_insert=True)
    if holding.holder_of(board, at) is None:
        board_take(board=board, ticket=ticket, by=by, at=at)
    return row


def kept(setup: Setup | None, meter: Meter | None, leads: float) -> dict[str, Any]:
    if setup is None:
        return {"lead_ohms": leads}
    spec = bridge.meter_spec(meter)
    return bridge_parts.kept_of(setup) | {
        "diode_volts": spec.diode_volts,
        "diode_amps": spec.diode_amps,
        "lead_ohms": leads,
    }


@transaction.atomic
def part_step_take(
    *,
    test: PartTest,
    by: Person,
    step: str,
    typed: str,
    uuid: uuids.UUID | None = None,
    at: datetime | None = None,
) -> PartTestStep:
    """Keep the answer to the step that is asked; no other is.

    Raises ``EngineError`` for an answer that is none. The same uuid again gives
    the same row; with other contents it is refused.
    """
    steps = lock(test)
    row = PartTestStep(
        uuid=uuid or uuids.uuid4(),
        test=test,
        step=step,
        typed=typed.strip(),
        by=by,
        at=at or timezone.now(),
    )
    same = next((one for one in steps if one.uuid == row.uuid), None)
    if same is not None:
        return same_or_refuse(same, row, "by_id", "step", "typed")
    refuse_closed(test.ticket)
    ask = bridge_parts.position_of(test, steps).next
    if ask is None:
        raise Refused(_("This test is settled: it asks nothing more."))
    if ask.step != step:
        raise Refused(_("Another step is asked now. Nothing was kept."))
    answer = answer_of(ask, typed)
    row.outcome, row.value, row.unit = answer.said, answer.value, answer.unit
    row.save(force_insert=True)
    return row


@transaction.atomic
def part_step_take_back(
    *,
    test: PartTest,
    by: Person,
    uuid: uuids.UUID | None = None,
    at: datetime | None = None,
) -> PartTestStep:
    """Take back the last step that stands: a row more, never one less."""
    steps = lock(test)
    same = next((one for one in steps if one.uuid == uuid), None)
    if same is not None:
        return same
    refuse_closed(test.ticket)
    if not bridge_parts.position_of(test, steps).answered:
        raise Refused(_("There is no step to take back."))
    return PartTestStep.objects.create(
        uuid=uuid or uuids.uuid4(),
        test=test,
        step=TAKE_BACK,
        outcome=Said.DONE,
        by=by,
        at=at or timezone.now(),
    )


def lock(test: PartTest) -> list[PartTestStep]:
    """Its steps, one person at a time."""
    Board.objects.select_for_update().get(pk=test.board_id)
    return list(test.steps.order_by("id"))


def same_or_refuse(kept: Row, row: Row, *names: str) -> Row:
    if any(getattr(kept, name) != getattr(row, name) for name in names):
        raise OtherContents
    return kept
