"""Pictures of board models, marks on them, and words on what a circuit serves."""

from collections.abc import Collection
from datetime import datetime
from math import isfinite

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics import bridge, finder_files, revisions
from diagnostics.engine.calculators.markings import microhenries
from diagnostics.engine.landmarks_figures import RAILS, Circuit
from diagnostics.models import (
    BoardMark,
    BoardModel,
    BoardOutline,
    BoardPicture,
    CircuitWord,
    PictureSide,
)
from shop.people.models import Person
from shop.records.errors import Refused

OUTLINES = {
    BoardOutline.WIDE: (1200, 800),
    BoardOutline.SQUARE: (1000, 1000),
    BoardOutline.NOTCH_LEFT: (1200, 800),
    BoardOutline.NOTCH_RIGHT: (1200, 800),
}
CORNERS = 2


# --- pictures -----------------------------------------------------------------


@transaction.atomic
def outline_keep(
    *,
    board_model: BoardModel,
    by: Person,
    side: str,
    outline: str,
    at: datetime | None = None,
) -> BoardPicture:
    """An empty outline for a side, to mark where no photo is at hand."""
    _refuse_unknown_side(side)
    if outline not in BoardOutline.values:
        raise Refused(_("Choose an outline."), field="outline")
    width, height = OUTLINES[BoardOutline(outline)]
    return BoardPicture.objects.create(
        board_model=board_model,
        side=side,
        outline=outline,
        width=width,
        height=height,
        by=by,
        at=at or timezone.now(),
    )


def picture_keep(
    *,
    board_model: BoardModel,
    by: Person,
    side: str,
    sent: bytes,
    is_nothing_personal: bool,
    at: datetime | None = None,
) -> BoardPicture:
    """A photo as the model's own: it outlives the ticket, so it was looked at."""
    _refuse_unknown_side(side)
    if not is_nothing_personal:
        raise Refused(
            _("Look at it first: nothing of the customer’s may be on it."),
            field="is_nothing_personal",
        )
    remade = finder_files.made_anew(sent)
    picture = BoardPicture(
        board_model=board_model,
        side=side,
        name=finder_files.new_name(),
        width=remade.width,
        height=remade.height,
        by=by,
        at=at or timezone.now(),
    )
    finder_files.write(picture, remade.full)
    try:
        picture.save(force_insert=True)
    except BaseException:
        finder_files.remove(picture)
        raise
    return picture


def _refuse_unknown_side(side: str) -> None:
    if side not in PictureSide.values:
        raise Refused(_("Say which side of the board it shows."), field="side")


# --- marks --------------------------------------------------------------------


@transaction.atomic
def mark_set(
    *,
    picture: BoardPicture,
    by: Person,
    kind: str,
    x: float,
    y: float,
    size: int | None = None,
    look: str = "",
    marking: str = "",
    rail_id: str = "",
    at: datetime | None = None,
) -> BoardMark:
    """A mark in its picture; what belongs to no such mark is left out."""
    if not (isfinite(x) and isfinite(y) and 0 <= x <= 1 and 0 <= y <= 1):
        raise Refused(_("The mark lies outside the picture: tap inside it."), field="x")
    if kind not in BoardMark.Kind.values:
        raise Refused(_("Say what you mark."), field="kind")
    mark = BoardMark(
        picture=picture, kind=kind, x=x, y=y, by=by, at=at or timezone.now()
    )
    if kind == BoardMark.Kind.INDUCTOR:
        _inductor(mark, size, look, marking)
    elif kind == BoardMark.Kind.POINT:
        _point(mark, rail_id)
    elif kind == BoardMark.Kind.CORNER:
        _refuse_third_corner(picture)
    mark.save(force_insert=True)
    return mark


def _inductor(mark: BoardMark, size: int | None, look: str, marking: str) -> None:
    marking = marking.strip().upper()
    if size not in BoardMark.Size.values:
        raise Refused(_("Say how large the inductor is."), field="size")
    if look not in BoardMark.Look.values:
        raise Refused(_("Say which look it has."), field="look")
    if marking and microhenries(marking) is None:
        raise Refused(
            _("No marking of an inductor: such as R22, 1R0, 2R2 or 100."),
            field="marking",
        )
    mark.size, mark.look, mark.marking = size, look, marking


def _point(mark: BoardMark, rail_id: str) -> None:
    model = mark.picture.board_model
    board = bridge.engine_board(model.family, revisions.patches_of(model))
    if rail_id not in board.rails:
        raise Refused(
            _("This board has no rail “%(id)s”.") % {"id": rail_id[:40]},
            field="rail_id",
        )
    mark.rail_id = rail_id


def _refuse_third_corner(picture: BoardPicture) -> None:
    corners = picture.marks.filter(kind=BoardMark.Kind.CORNER, gone_at=None)
    if corners.count() >= CORNERS:
        raise Refused(
            _("Two opposite corners are enough: take one away first."), field="kind"
        )


@transaction.atomic
def mark_take_away(*, mark: BoardMark, by: Person, at: datetime | None = None) -> None:
    """It counts no more; that it was there stays known."""
    BoardMark.objects.filter(pk=mark.pk, gone_at=None).update(
        gone_at=at or timezone.now(), gone_by=by
    )


@transaction.atomic
def mark_undo(*, board_model: BoardModel, by: Person) -> BoardMark | None:
    """Take this person's newest standing mark away."""
    standing = BoardMark.objects.filter(picture__board_model=board_model, gone_at=None)
    newest = standing.filter(by=by).order_by("-id").first()
    if newest is not None:
        mark_take_away(mark=newest, by=by)
    return newest


# --- words on circuits --------------------------------------------------------


@transaction.atomic
def circuit_say(
    *,
    board_model: BoardModel,
    by: Person,
    marks: Collection[int],
    circuit: str,
    rail_id: str = "",
    settles: int = 0,
    at: datetime | None = None,
) -> CircuitWord:
    """What a group of inductors serves, by somebody who knows.

    Kept beside what others say, and over it only where ``settles``, the newest word
    that was seen, says so. *Unknown* takes one's own word back.
    """
    BoardModel.objects.select_for_update().get(pk=board_model.pk)
    if circuit not in set(Circuit):
        raise Refused(_("Say what the group serves."), field="circuit")
    if rail_id and rail_id not in RAILS.get(Circuit(circuit), ()):
        raise Refused(_("That rail is of another circuit."), field="circuit")
    standing = BoardMark.objects.filter(
        pk__in=marks,
        picture__board_model=board_model,
        kind=BoardMark.Kind.INDUCTOR,
        gone_at=None,
    )
    if not marks or standing.count() != len(set(marks)):
        raise Refused(
            _("The group has changed meanwhile: look at it again."), field="circuit"
        )
    newest = board_model.circuit_words.order_by("-id").first()
    return CircuitWord.objects.create(
        board_model=board_model,
        marks=sorted(set(marks)),
        circuit=circuit,
        rail_id=rail_id,
        settles=min(settles, newest.pk if newest else 0),
        by=by,
        at=at or timezone.now(),
    )
