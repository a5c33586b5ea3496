"""What was seen of a board and told by others, beside our own readings."""

from typing import Any
from uuid import uuid4

from django.utils.text import capfirst

from diagnostics import sayings
from diagnostics.advice_forms import SightingForm
from diagnostics.beside import Scene
from diagnostics.bridge import Judged, Known
from diagnostics.engine.family import Check
from diagnostics.engine.yardsticks import Word
from diagnostics.models import ReadingSource, Sighting
from diagnostics.place import Place

# A check by looking that can find damage: what it finds is somewhere on the board.
DAMAGE = frozenset({"burnt", "corroded", "cracked"})


def is_look(check: Check) -> bool:
    return bool(DAMAGE & set(check.categories))


def asks_where(known: Known, one: Judged) -> bool:
    """Damage was seen, and nothing is kept yet of where it is."""
    is_kept = any(seen.epoch == known.epoch for seen in known.sightings)
    return is_look(one.check) and one.verdict.word is Word.BAD and not is_kept


def beside(scene: Scene) -> dict[str, Any]:
    """What was seen and told so far, and the form to add what is seen."""
    known = scene.known
    start = {"uuid": uuid4()}
    return {
        "seen": [sighting(known, one) for one in known.sightings],
        "told": told(known, scene.place),
        "form": scene.refused.get("sighting")
        or SightingForm(known=known, initial=start),
    }


def sighting(known: Known, one: Sighting) -> dict[str, Any]:
    """ "burnt: ceramic capacitor on main, C-a" """
    board = known.board
    where = sayings.net_name(board, one.rail_id)
    if one.part_id:
        where = sayings.suspect_title(board, one.part_id, "")
    named = ", ".join(text for text in (where, one.place) if text)
    return {
        "id": one.pk,
        "what": capfirst(f"{one.get_kind_display()}: {named}"),
        "by": one.by.name,
        "at": one.at,
        "is_earlier": one.epoch < known.epoch,
    }


def told(known: Known, place: Place) -> list[dict[str, str]]:
    """What another repairer told: kept, low in weight, and no gate passes by it."""
    return [
        {
            "title": capfirst(sayings.row_title(known.board, one.check, one.point)),
            "value": sayings.reading_value(one.reading),
            "url": place.url(reading=one.reading.pk),
        }
        for one in known.judged
        if one.reading.source == ReadingSource.TOLD
    ]
