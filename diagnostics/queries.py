"""Reads of the bench: what is known of a board, and the figures made of it."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Prefetch, QuerySet
from django.shortcuts import get_object_or_404
from django.utils import timezone

from diagnostics import bridge, holding, lore, passing, revisions, settling
from diagnostics.absent import marks_of
from diagnostics.bridge import Judged, Known, LoreAt
from diagnostics.engine.boards import POWERED
from diagnostics.engine.boards import Board as EngineBoard
from diagnostics.engine.gates import Hold
from diagnostics.models import (
    Board,
    BoardModel,
    Calculation,
    ConditionSet,
    GateOverride,
    Intervention,
    Meter,
    Origin,
    PartTest,
    PartTestStep,
    PassedBy,
    Reading,
    ReadingOutcome,
    Sighting,
    SuspectWord,
    TicketBoard,
)
from diagnostics.said_and_seen import by_board, name_all, said_and_seen, unstruck
from shop.intake.models import Handover, Ticket
from shop.people.models import Person, Shop
from shop.records.kinds import Kind
from shop.records.models import Event

OF_A_BOARD = (
    Kind.READING_STRUCK.value,
    Kind.POINT_NOT_FITTED.value,
    Kind.SIGHTING_STRUCK.value,
    *holding.IN_HAND,
)


def known_of(board: Board, *, at: datetime | None = None) -> Known:
    """Load a board with its standing readings, as of ``at``."""
    return known_of_all([board], at=at)[board.pk]


def known_of_all(
    boards: Sequence[Board], *, at: datetime | None = None, people: bool = True
) -> dict[int, Known]:
    """Load many boards, by id: as many queries as for one.

    All in the order in which it happened, which is not that in which it came in: a
    tablet sends what it kept while the network was away.

    ``people`` says whether it will be asked who took the readings, and what was said
    and seen besides.
    """
    ids = [board.pk for board in boards]
    told = Event.objects.filter(board_id__in=ids, kind__in=OF_A_BOARD)
    events = by_board(told.order_by("id"))
    read = Reading.objects.filter(board_id__in=ids).select_related("meter")
    readings = by_board(read.order_by("taken_at", "id"))
    done = Intervention.objects.filter(board_id__in=ids)
    interventions = by_board(done.order_by("epoch"))
    passed = GateOverride.objects.filter(board_id__in=ids)
    overrides = by_board(passed.order_by("id"))
    stood = ConditionSet.objects.filter(board_id__in=ids)
    conditions = by_board(stood.order_by("at", "id"))
    skipped = PassedBy.objects.filter(board_id__in=ids).select_related("note")
    passed_by = by_board(skipped.order_by("at", "id"))
    said, seen = said_and_seen(ids) if people else ({}, {})
    name_all(
        events,
        interventions,
        overrides,
        conditions,
        passed_by,
        said,
        seen,
        readings if people else {},
    )
    patches = revisions.patches_of_all({board.board_model_id for board in boards})
    now = at or timezone.now()
    lores = lore.lores(boards, patches)
    return {
        board.pk: _known(
            board=board,
            patches=patches.get(board.board_model_id, {}),
            events=events.get(board.pk, []),
            readings=readings.get(board.pk, []),
            interventions=tuple(interventions.get(board.pk, [])),
            overrides=tuple(overrides.get(board.pk, [])),
            now=now,
            lore_at=lores[board.pk],
            said=tuple(said.get(board.pk, [])),
            seen=seen.get(board.pk, []),
            conditions=tuple(conditions.get(board.pk, [])),
            passed_by=tuple(passed_by.get(board.pk, [])),
        )
        for board in boards
    }


def _known(
    *,
    board: Board,
    patches: dict[str, Any],
    events: list[Event],
    readings: list[Reading],
    interventions: tuple[Intervention, ...],
    overrides: tuple[GateOverride, ...],
    now: datetime,
    lore_at: LoreAt,
    said: tuple[SuspectWord, ...],
    seen: list[Sighting],
    conditions: tuple[ConditionSet, ...],
    passed_by: tuple[PassedBy, ...],
) -> Known:
    struck = frozenset(
        e.reading_id
        for e in events
        if e.kind == Kind.READING_STRUCK and e.reading_id is not None
    )
    standing = tuple(reading for reading in readings if reading.pk not in struck)
    absent = marks_of(events, standing)
    return Known(
        row=board,
        board=bridge.engine_board(board.board_model.family, patches, frozenset(absent)),
        readings=standing,
        interventions=interventions,
        overrides=overrides,
        holder_id=holding.holder_in(events),
        now=now,
        lore_at=lore_at,
        words=said,
        sightings=unstruck(seen, events),
        conditions=conditions,
        passed_by=passed_by,
        absent=absent,
        hands=tuple(event for event in events if event.kind in holding.IN_HAND),
    )


def meter_now(shop: Shop, meter_id: int | None) -> Meter | None:
    """The present row of a meter, which may have been changed since."""
    if meter_id is None:
        return None
    name = shop.meters.filter(pk=meter_id).values("name")
    return shop.meters.filter(name__in=name, retired_at=None).first()


# --- rows -------------------------------------------------------------------


def board_model_find(shop: Shop, number: str) -> BoardModel | None:
    return shop.board_models.filter(number__iexact=number.strip()).first()


def board_find(board_model: BoardModel, serial: str) -> Board | None:
    return board_model.boards.filter(serial__iexact=serial).first()


def board_of(shop: Shop, number: str, board_id: int) -> tuple[Ticket, Board]:
    """A ticket's board, or 404 where it isn't this shop's or not on the ticket."""
    joined = get_object_or_404(
        TicketBoard.objects.select_related(
            "ticket__device", "ticket__customer", "board__board_model", "board__shop"
        ),
        ticket__shop=shop,
        ticket__number=number,
        board_id=board_id,
    )
    return joined.ticket, joined.board


def reference_boards(shop: Shop) -> QuerySet[Board]:
    """The shop's donors and known-good boards, newest first."""
    return (
        shop.boards.exclude(origin=Origin.CUSTOMER)
        .select_related("board_model", "shop")
        .order_by("-id")
    )


def known_good_beside(board: Board) -> Board | None:
    """Another board of the same model that is known to be good, newest first."""
    same = reference_boards(board.shop).filter(board_model_id=board.board_model_id)
    return same.filter(origin=Origin.KNOWN_GOOD).exclude(pk=board.pk).first()


def reference_board_of(shop: Shop, board_id: int) -> Board:
    """A board for a reference session, or 404."""
    return get_object_or_404(reference_boards(shop), pk=board_id)


def supply_of_model(board: Board) -> tuple[float, float | None] | None:
    """Volts and limit with which another board of this model was last powered."""
    others: dict[str, Any] = {
        "board__board_model_id": board.board_model_id,
        "condition__in": sorted(POWERED),
        "supply_volts__isnull": False,
    }
    figures = ("supply_volts", "supply_limit_amps")
    for rows in (ConditionSet.objects, Reading.objects):
        found = rows.filter(**others).exclude(board=board).order_by("-id")
        for volts, amps in found.values_list(*figures)[:1]:
            return volts, amps
    return None


def epoch_of(board: Board) -> int:
    newest = board.interventions.order_by("-epoch").values_list("epoch", flat=True)
    return newest.first() or 0


def part_tests_of(board: Board) -> QuerySet[PartTest]:
    """The part tests of a board with their steps, newest first."""
    steps = Prefetch("steps", PartTestStep.objects.order_by("id"))
    tests = board.part_tests.select_related("by", "meter", "ticket", "board__shop")
    return tests.prefetch_related(steps).order_by("-id")


def calculations_of(board: Board) -> QuerySet[Calculation]:
    """What was reckoned of a board and kept, newest first."""
    return board.calculations.select_related("by").order_by("-id")


def boards_of(ticket: Ticket) -> QuerySet[Board]:
    return Board.objects.filter(ticket_boards__ticket=ticket).select_related(
        "board_model", "shop"
    )


def joined(ticket: Ticket) -> dict[str, Any]:
    """The boards of a ticket, and the board models that the shop knows."""
    return {
        "boards": boards_of(ticket),
        "models": ticket.shop.board_models.order_by("number"),
    }


def is_struck(reading: Reading) -> bool:
    return Event.objects.filter(
        reading_id=reading.pk, kind=Kind.READING_STRUCK
    ).exists()


def is_closed(ticket: Ticket) -> bool:
    return Handover.objects.filter(ticket=ticket).exists()


def waits_for_data(ticket: Ticket | None) -> bool:
    """Data first, and nobody has yet recorded the data as safe."""
    return ticket is not None and ticket.is_data_first and not is_data_safe(ticket)


def is_data_safe(ticket: Ticket) -> bool:
    return Event.objects.filter(ticket_id=ticket.pk, kind=Kind.DATA_SAFE).exists()


def lead_ohms(
    shop: Shop, by: Person, meter: Meter | None, at: datetime
) -> float | None:
    """The leads' ohms in force: the newest k04 of the day, person and meter."""
    local = at.astimezone(shop.zone)
    morning = local.replace(hour=0, minute=0, second=0, microsecond=0)
    taken = Reading.objects.filter(
        check_id=settling.LEADS,
        by=by,
        meter=meter,
        outcome=ReadingOutcome.VALUE,
        taken_at__gte=morning,
        taken_at__lte=at + timedelta(seconds=1),
    )
    values = dict(taken.order_by("-taken_at", "-id").values_list("pk", "value"))
    if not values:
        return None
    told = Event.objects.filter(kind=Kind.READING_STRUCK, reading_id__in=values)
    struck = set(told.values_list("reading_id", flat=True))
    return next((ohms for pk, ohms in values.items() if pk not in struck), None)


# --- what the engine makes of it --------------------------------------------


def engine_board(board: Board) -> EngineBoard:
    return known_of(board).board


def standing_readings(board: Board) -> tuple[Reading, ...]:
    return known_of(board).readings


def judged(board: Board) -> tuple[Judged, ...]:
    return known_of(board).judged


def holds_for(
    board: Board, check_id: str, *, at: datetime | None = None
) -> tuple[Hold, ...]:
    return passing.holds(known_of(board, at=at), check_id)


def families_of(ticket_ids: Sequence[int]) -> Mapping[int, str]:
    """The family of each ticket's board, by its name; the first of several boards."""
    rows = TicketBoard.objects.filter(ticket_id__in=ticket_ids).order_by("-id")
    named = rows.values_list("ticket_id", "board__board_model__family")
    return {pk: bridge.family_name(family) for pk, family in named if family}


def overrides_of(
    shop: Shop, since: datetime, until: datetime
) -> list[tuple[datetime, str]]:
    """When gates were overruled in a time, and on which ground."""
    rows = GateOverride.objects.filter(board__shop=shop, at__gte=since, at__lt=until)
    return list(rows.order_by("at", "id").values_list("at", "chip"))
