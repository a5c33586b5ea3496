"""What a check's form sends: one reading, ticks in one act, or a photo."""

from dataclasses import dataclass
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics import bridge, queries, revisions, services, tablets
from diagnostics.bridge import Known
from diagnostics.engine.errors import EngineError
from diagnostics.engine.family_checks import PHOTO_KEPT
from diagnostics.forms import ReadingForm
from diagnostics.models import Reading
from diagnostics.place import Place
from shop.people.access import AtWork
from shop.photos import receiving
from shop.records.errors import Refused

TICKED_WITH = ("uuid", "note", "offered", "source", "condition", "meter", "fitted")
WORST_FIRST = ("bad", "watch", "unclear", "good")


@dataclass(frozen=True)
class Entered:
    """What was kept, and what is known of its board with it; ``None``: look anew."""

    reading: Reading
    known: Known | None = None


def enter(request: AtWork, place: Place, form: ReadingForm) -> Entered:
    """Keep what was entered; of several ticks the one that the page should show.

    Raises ``EngineError`` or ``Refused``: then nothing is kept.
    """
    asked = form.asked()
    if ticked := form.ticked():
        return Entered(tick(request, place, asked, ticked))
    is_bare = not {"typed", "outcome"} & set(asked)
    if is_bare and is_photo(place, asked["point_id"]):
        asked["category"] = keep_photo(request, place)
    of_tablet = tablets.of_reading()
    known = services.known_held(place.board, of_tablet.get("taken_at", timezone.now()))
    reading = services.reading_take(
        board=place.board,
        ticket=place.ticket,
        by=request.user,
        known=known,
        **of_tablet,
        **asked,
    )
    return Entered(reading, services.known_with(known, reading))


def tick(
    request: AtWork, place: Place, asked: dict[str, Any], ticked: dict[str, str]
) -> Reading:
    kept = services.readings_tick(
        board=place.board,
        ticket=place.ticket,
        by=request.user,
        answers=ticked,
        **tablets.of_reading(),
        **{key: asked[key] for key in TICKED_WITH if key in asked},
    )
    ids = {one.pk for one in kept}
    judged = [
        one for one in queries.known_of(place.board).judged if one.reading.pk in ids
    ]
    worst = min(judged, key=lambda one: WORST_FIRST.index(one.verdict.word.value))
    return worst.reading


def is_photo(place: Place, point_id: str) -> bool:
    model = place.board.board_model
    board = bridge.engine_board(model.family, revisions.patches_of(model))
    try:
        return board.check(bridge.check_id_of(point_id)).form == "photo"
    except EngineError:
        return False


def keep_photo(request: AtWork, place: Place) -> str:
    """The photo is kept with the board; the check passes with it."""
    if place.ticket is None:
        raise Refused(_("Photos are kept with a ticket; this session has none."))
    where = receiving.Where(
        by=request.user,
        ticket=place.ticket,
        board_id=place.board.pk,
        station=request.station,
    )
    received = receiving.receive(request, where)
    if not received.kept:
        raise Refused(" ".join(received.refused), field="photos")
    return PHOTO_KEPT
