"""Boards: known by number, joined to tickets, taken in hand."""

import json
from collections.abc import Mapping
from datetime import datetime
from types import MappingProxyType
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics import bridge, holding, offering, queries, revisions, words
from diagnostics.engine.errors import FamilyError
from diagnostics.models import (
    Board,
    BoardModel,
    BoardModelRevision,
    Intervention,
    InterventionKind,
    Origin,
    TicketBoard,
)
from diagnostics.services.telling import refuse_apart, refuse_closed, tell
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from shop.records import services as records
from shop.records.changes import Value, before_after
from shop.records.errors import Refused
from shop.records.kinds import Kind

NO_PATCHES: Mapping[str, Any] = MappingProxyType({})


@transaction.atomic
def board_model_keep(
    *,
    shop: Shop,
    by: Person,
    number: str,
    family: str,
    name: str = "",
    patches: Mapping[str, Any] = NO_PATCHES,
) -> BoardModel:
    """The board model of this number, made where the shop knows none.

    ``patches`` are what a new one changes over its family, kept in the same act.
    """
    number = number.strip()
    if not number:
        raise Refused(_("A board model needs its board number."), field="number")
    known = queries.board_model_find(shop, number)
    if known is not None:
        return known
    if not family:
        raise Refused(
            _("This board number is new here: choose its family."), field="family"
        )
    if family not in bridge.family_ids():
        raise Refused(
            _("No family “%(family)s” is known here.") % {"family": family[:40]},
            field="family",
        )
    if family not in offering.offered_at(shop, timezone.now()):
        raise Refused(
            _("The owner doesn’t offer this family: settings, board families."),
            field="family",
        )
    made = BoardModel.objects.create(
        shop=shop, number=number, family=family, name=name.strip()
    )
    for key, new in patches.items():
        board_model_patch(board_model=made, by=by, key=key, new=new)
    return made


@transaction.atomic
def board_model_patch(
    *, board_model: BoardModel, by: Person, key: str, new: Any, why: str = ""
) -> BoardModelRevision:
    """Change one value over the family; refused where the family can't take it.

    ``new=None`` goes back to the family's own value.
    """
    BoardModel.objects.select_for_update().get(pk=board_model.pk)
    patches = revisions.patches_of(board_model)
    old = patches.pop(key, None)
    tried = patches if new is None else patches | {key: new}
    try:
        bridge.engine_board(board_model.family, tried)
    except FamilyError as error:
        raise Refused(words.error_sentence(error), field="new") from error
    made = BoardModelRevision.objects.create(
        board_model=board_model, key=key, old=old, new=new, by=by, why=why
    )
    records.event_record(
        Kind.BOARD_MODEL_CHANGED,
        shop_id=board_model.shop_id,
        by_id=by.pk,
        ids={"board_model": board_model.pk, "revision": made.pk},
        codes=before_after({key: _told(old)}, {key: _told(new)}),
    )
    return made


def _told(value: Any) -> Value:
    is_plain = value is None or isinstance(value, str | int | bool)
    return value if is_plain else json.dumps(value, sort_keys=True)


@transaction.atomic
def board_join(
    *,
    ticket: Ticket,
    by: Person,
    board_model: BoardModel,
    serial: str = "",
    marking: str = "",
    origin: str = Origin.CUSTOMER,
    at: datetime | None = None,
) -> Board:
    """A board of this model joins the ticket; the same serial joins once."""
    at = at or timezone.now()
    refuse_closed(ticket)
    if ticket.shop_id != board_model.shop_id or origin not in Origin.values:
        raise Refused(_("Ticket and board model don’t belong together."))
    known = queries.board_find(board_model, serial.strip()) if serial.strip() else None
    board = known or Board.objects.create(
        shop_id=ticket.shop_id,
        board_model=board_model,
        serial=serial.strip(),
        marking=marking.strip(),
        origin=origin,
        seen_at=at,
    )
    _joined, is_new = TicketBoard.objects.get_or_create(
        ticket=ticket, board=board, defaults={"joined_at": at}
    )
    if is_new:
        _back_again(board, ticket, by, at)
        tell(Kind.BOARD_JOINED, board=board, ticket=ticket, by=by, at=at)
    return board


def _back_again(board: Board, ticket: Ticket, by: Person, at: datetime) -> None:
    """A board that was handed over before begins its next epoch: whatever was read
    then opens no gate now."""
    before = TicketBoard.objects.filter(board=board).exclude(ticket=ticket)
    if before.filter(ticket__handover__isnull=False).exists():
        Intervention.objects.create(
            board=board,
            ticket=ticket,
            epoch=queries.epoch_of(board) + 1,
            kind=InterventionKind.AWAY,
            by=by,
            at=at,
        )


@transaction.atomic
def reference_board_keep(
    *,
    board_model: BoardModel,
    by: Person,
    origin: str,
    serial: str = "",
    marking: str = "",
    at: datetime | None = None,
) -> Board:
    """A donor or known-good board of the shop's own: no ticket, no customer."""
    if origin not in {Origin.DONOR, Origin.KNOWN_GOOD}:
        raise Refused(_("A reference board is a donor or known good."), field="origin")
    serial = serial.strip()
    known = queries.board_find(board_model, serial) if serial else None
    if known is not None and known.origin == Origin.CUSTOMER:
        raise Refused(_("This serial number is a customer’s board."), field="serial")
    return known or Board.objects.create(
        shop_id=board_model.shop_id,
        board_model=board_model,
        serial=serial,
        marking=marking.strip(),
        origin=origin,
        seen_at=at or timezone.now(),
    )


@transaction.atomic
def board_take(
    *, board: Board, ticket: Ticket | None, by: Person, at: datetime | None = None
) -> None:
    """Take a board in hand. Whoever held it, and what I held, is put down.

    ``at`` may lie back, when a tablet was away: then what happened since stands.
    """
    refuse_closed(ticket)
    refuse_apart(board, ticket)
    at = at or timezone.now()
    holder_id = holding.holder_of(board, at)
    if holder_id == by.pk:
        return
    mine = holding.boards_in_hand(by, at)
    ends = holding.end_of(by, board, at)
    here = ticket.pk if ticket else None
    if holder_id is not None:
        _put_down(board.pk, here, holder_id, by=by, at=at)
    taken = tell(Kind.BOARD_TAKEN, board=board, ticket=ticket, by=by, at=at, person=by)
    for board_id, ticket_id in mine:
        _put_down(board_id, ticket_id, by.pk, by=by, at=at, ids={"for": taken.pk})
    if ends is not None:
        _put_down(board.pk, here, by.pk, by=by, at=ends)


@transaction.atomic
def board_put_down(
    *, board: Board, ticket: Ticket | None, by: Person, at: datetime | None = None
) -> None:
    """Whoever has it in hand, their clock stops."""
    holder_id = holding.holder_of(board, at)
    if holder_id is not None:
        here = ticket.pk if ticket else None
        _put_down(board.pk, here, holder_id, by=by, at=at)


@transaction.atomic
def board_take_back(*, taken_id: int, by: Person, at: datetime | None = None) -> None:
    """Take a person's newest taking back: their clock runs where it ran before.

    Twice is once. Refused once they went on to something else.
    """
    Person.objects.select_for_update().get(pk=by.pk)
    taken = holding.taking_of(by, taken_id)
    if taken is None or holding.is_taken_back(taken):
        return
    if not holding.is_newest(taken):
        raise Refused(_("The clock went on since then: there is nothing to undo."))
    at, ids = at or timezone.now(), {"undoes": taken.pk}
    assert taken.board_id is not None
    _put_down(taken.board_id, taken.ticket_id, by.pk, by=by, at=at, ids=ids)
    before = holding.made_way(taken)
    if before is None or before.board_id is None:
        return
    board = Board.objects.get(pk=before.board_id)
    ticket = Ticket.objects.get(pk=before.ticket_id) if before.ticket_id else None
    refuse_closed(ticket)
    if holding.holder_of(board, at) is not None:
        raise Refused(_("Somebody else has that board in hand now."))
    tell(
        Kind.BOARD_TAKEN,
        board=board,
        ticket=ticket,
        by=by,
        at=at,
        person=by,
        ids=ids,
    )


def _put_down(
    board_id: int,
    ticket_id: int | None,
    holder_id: int,
    *,
    by: Person,
    at: datetime | None,
    ids: Mapping[str, int] | None = None,
) -> None:
    records.event_record(
        Kind.BOARD_PUT_DOWN,
        shop_id=Board.objects.values_list("shop_id", flat=True).get(pk=board_id),
        by_id=by.pk,
        at=at,
        ticket_id=ticket_id,
        board_id=board_id,
        person_id=holder_id,
        ids=ids,
    )


@transaction.atomic
def point_not_fitted(
    *,
    board: Board,
    ticket: Ticket | None,
    by: Person,
    point_id: str,
    is_fitted: bool = False,
    at: datetime | None = None,
) -> None:
    """Mark a point, rail or stage as not on this board; the newest mark counts."""
    model = board.board_model
    plain = bridge.engine_board(model.family, revisions.patches_of(model))
    if not bridge.has(plain, point_id):
        raise Refused(_("This board has no “%(id)s”.") % {"id": point_id[:60]})
    tell(
        Kind.POINT_NOT_FITTED,
        board=board,
        ticket=ticket,
        by=by,
        at=at,
        codes={"what": point_id, "is_fitted": is_fitted},
    )
