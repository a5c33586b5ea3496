"""The Super I/O test: three checks of the board put together as one statement."""

from typing import Any

from diagnostics import cards, passing, queries, sayings, words
from diagnostics.bridge import Known
from diagnostics.engine.reasons import Reason
from diagnostics.engine.super_io import CHECKS, Alive, controller_state, points
from diagnostics.place import Place
from diagnostics.walk import walk_of

MARKS = {Alive.ALIVE: "good", Alive.LOOK: "watch", Alive.OPEN: "unclear"}


def page(place: Place) -> dict[str, Any]:
    known = queries.known_of(place.board)
    state = controller_state(known.board, standing_words(known))
    return {
        "place": place,
        "word": words.part_result_name(state.word.value),
        "mark": MARKS.get(state.word, ""),
        "reasons": [said(known, one) for one in state.reasons],
        "look_at": [stage(known, place, one) for one in state.look_at],
        "checks": [check(known, place, one) for one in CHECKS],
        "next": next_check(known, place, state.missing),
    }


def standing_words(known: Known) -> dict[str, str]:
    """The words that still count: our own readings, not gone stale."""
    return {
        point: one.verdict.word.value
        for point, one in passing.our_newest(known).items()
        if not passing.is_stale(known, one)
    }


def said(known: Known, why: Reason) -> str:
    """A line's id gives way to its name and what it read."""
    read = known.newest().get(str(why.values.get("point")))
    if read is None:
        return words.sentence(why)
    title = sayings.stands_for(known.board, read.point)
    value = sayings.reading_value(read.reading)
    named = {**why.values, "point": f"{title}, {value},"}
    return words.sentence(Reason(why.code, named))


def stage(known: Known, place: Place, stage_id: str) -> dict[str, str]:
    name = sayings.stage_name(known.board, stage_id)
    return {"name": name, "url": place.url(stage=stage_id)}


def check(known: Known, place: Place, check_id: str) -> dict[str, Any]:
    """What is read of one of the three checks."""
    own = known.board.checks.get(check_id)
    words_by_point = standing_words(known)
    return {
        "id": check_id,
        "name": sayings.family_text(own.name) if own else "",
        "url": place.url(check=check_id),
        "points": [
            {
                "title": sayings.stands_for(known.board, point),
                "value": value_at(known, point.id),
                "word": words_by_point.get(point.id, ""),
            }
            for point in points(known.board, check_id)
        ],
    }


def value_at(known: Known, point_id: str) -> str:
    read = known.newest().get(point_id)
    return sayings.reading_value(read.reading) if read else ""


def next_check(
    known: Known, place: Place, missing: tuple[str, ...]
) -> dict[str, Any] | None:
    """The first check still to be read, with what holds it off for now."""
    if not missing:
        return None
    walk = walk_of(known)
    own = known.board.checks[missing[0]]
    holds = walk.holds(own.id)
    return {
        "id": own.id,
        "name": sayings.family_text(own.name),
        "minutes": f"{own.minutes:g}",
        "url": place.url(check=own.id),
        "hold": cards.hold(known, holds[0], place) if holds else None,
    }
