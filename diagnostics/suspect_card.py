"""What the suspects card shows, as plain values for its template."""

from collections.abc import Sequence
from typing import Any

from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics import (
    advice_words,
    advising,
    calibrating,
    found_so_far,
    sayings,
)
from diagnostics.advice_forms import WHY_STRUCK, SuspectWordForm
from diagnostics.beside import Scene
from diagnostics.bridge import Known
from diagnostics.engine.assessment import Assessment, Disagreement, Learned, Suspect
from diagnostics.lore_newest import MOST
from diagnostics.models import SuspectWord
from diagnostics.place import Place, with_query

Card = dict[str, Any]
SHOWN = 4
MOST_REASONS = 3
LOOKED_AT = ("stage", "check", "point", "reading")
MOST_NOT_LOOKED_AT = 8


def context(scene: Scene, state: dict[str, str]) -> Card:
    """The card: what is said, or that it is being worked out, or that it is hidden."""
    asked = {key: state[key] for key in LOOKED_AT if state.get(key)}
    number, board = scene.place.number, scene.place.board
    fragment = reverse("diagnostics:suspects", args=[number, board.pk])
    shown = asked | {"suspects": "show"}
    return {
        "state": asked,
        "is_hidden": scene.is_hidden,
        "is_pending": scene.said is None,
        "again_url": with_query(fragment, asked),
        "show_url": scene.place.url(**shown),
        "show_fragment_url": with_query(fragment, shown),
        "found": found_so_far.of(scene.known, scene.place.ticket),
        "word": scene.refused.get("word") or SuspectWordForm(known=scene.known),
        "said": None if scene.is_hidden else said(scene),
    }


def said(scene: Scene) -> Card | None:
    """What the engine says; ``None`` while it is being worked out."""
    found, known = scene.said, scene.known
    if found is None:
        return None
    disagreements = [disagreement(known, scene.place, o) for o in found.disagreements]
    shown = shown_of(known, found.suspects)
    is_named = bool(shown) and not disagreements and not found.is_healthy
    return {
        "healthy": healthy(known, found) if found.is_healthy else "",
        "disagreements": disagreements,
        "first": [
            suspect(known, one, is_open=number == 0 and is_named)
            for number, one in enumerate(shown)
        ],
        "more": len(found.suspects) - len(shown),
        "others": others(found, shown),
        "is_named": is_named,
        "struck": struck(known),
        "calibration": calibration(scene.place, found) if is_named else None,
        "learned": learned(found.learned),
        "why_struck": [{"value": one.value, "label": one.label} for one in WHY_STRUCK],
    }


def speaks(scene: Scene) -> dict[str, set[str]]:
    """By rail, whether its readings speak for or against the first suspect."""
    found = scene.said
    if found is None or scene.is_hidden or found.disagreements or not found.suspects:
        return {}
    first, rails = found.suspects[0], dict[str, set[str]]()
    for way, whys in (("for", first.speaks_for), ("against", first.against)):
        for why in whys:
            point = scene.known.board.points.get(str(why.values.get("point")))
            if point is not None and point.rail:
                rails.setdefault(point.rail, set()).add(way)
    return rails


def shown_of(known: Known, suspects: Sequence[Suspect]) -> list[Suspect]:
    """The first few; and those that a technician added, however unlikely."""
    added = advising.added(known)
    return [
        one for number, one in enumerate(suspects) if number < SHOWN or one.key in added
    ]


def suspect(known: Known, one: Suspect, *, is_open: bool) -> Card:
    part = known.board.parts[one.part_id]
    alike = [sayings.suspect_title(known.board, part_id, "") for part_id in one.alike]
    word = advising.standing_words(known).get(one.key)
    return {
        "part_id": one.part_id,
        "mode_id": one.mode_id,
        "key": f"{one.part_id}:{one.mode_id}",
        "title": sayings.suspect_title(known.board, one.part_id, one.mode_id),
        "alike": alike,
        "place": sayings.net_name(known.board, one.place),
        "percent": sayings.percent(one.probability),
        "share": round(one.probability * 100),
        "speaks_for": reasons(known, one.speaks_for),
        "against": reasons(known, one.against),
        "repair": advice_words.repair(part, known.row.shop.currency),
        "word": said_by(word) if word else "",
        "is_open": is_open,
    }


def reasons(known: Known, found: Sequence[Any]) -> list[str]:
    return [capfirst(advice_words.reading(known, why)) for why in found[:MOST_REASONS]]


def said_by(word: SuspectWord) -> str:
    """ "struck by Ines Okafor: measured good, at 3.3 V" """
    told = [str(word.get_chip_display()), word.note.text if word.note else ""]
    return _("%(kind)s by %(name)s: %(why)s") % {
        "kind": word.get_kind_display(),
        "name": word.by.name,
        "why": ", ".join(text for text in told if text),
    }


def struck(known: Known) -> list[Card]:
    """The suspects that a technician has struck, and whose word it is."""
    words = advising.standing_words(known)
    return [
        {
            "key": f"{part}:{mode}",
            "title": sayings.suspect_title(known.board, part, mode),
            "word": said_by(word),
        }
        for (part, mode), word in words.items()
        if word.kind == SuspectWord.Kind.STRUCK
    ]


def others(found: Assessment, shown: Sequence[Suspect]) -> list[Card]:
    """The shares of what is no suspect of the list."""
    rest = sum(one.probability for one in found.suspects)
    rest -= sum(one.probability for one in shown)
    count = len(found.suspects) - len(shown)
    more = ngettext("%(count)s more suspect", "%(count)s more suspects", count)
    told = [
        (more % {"count": count}, rest if count else 0.0),
        (_("Something else"), found.something_else),
        (_("No fault"), found.no_fault),
    ]
    return [
        {"name": name, "percent": sayings.percent(share)}
        for name, share in told
        if share > 0
    ]


def healthy(known: Known, found: Assessment) -> Card:
    return {
        "measured": found.measured,
        "not_looked_at": not_looked_at(known, found.not_looked_at),
    }


def not_looked_at(known: Known, ids: Sequence[str]) -> str:
    """Stages, rails or checks by name; a long list is cut short with its count."""
    names = list(dict.fromkeys(named(known, id_) for id_ in ids))
    more = len(names) - MOST_NOT_LOOKED_AT
    if more <= 0:
        return ", ".join(names)
    text = ngettext("and %(count)s more", "and %(count)s more", more)
    return ", ".join([*names[:MOST_NOT_LOOKED_AT], text % {"count": more}])


def named(known: Known, id_: str) -> str:
    board = known.board
    if id_ in board.checks:
        return sayings.family_text(board.check(id_).name)
    if id_ in board.points:
        return advice_words.point_named(known, id_)
    return sayings.stage_name(board, id_) or sayings.net_name(board, id_) or id_


def disagreement(known: Known, place: Place, one: Disagreement) -> Card:
    """Readings that don't fit together, each with the way to take it again."""
    newest = known.newest()
    points = []
    for point_id in one.points:
        read = newest.get(point_id)
        check = point_id.partition("/")[0]
        points.append(
            {
                "title": capfirst(advice_words.point_named(known, point_id)),
                "value": sayings.reading_value(read.reading) if read else "",
                "url": place.url(check=check, point=point_id),
            }
        )
    return {"points": points, "why": advice_words.why(known, one.why)}


def calibration(place: Place, found: Assessment) -> Card | None:
    """How often what is said of the first suspect was right in this shop."""
    one = calibrating.bin_now(place.board.shop, found)
    if one is None:
        return None
    return {
        "text": advice_words.calibration(one),
        "interval": advice_words.interval(one),
    }


def learned(one: Learned) -> str:
    """How much is the family's judgement and how much this shop's."""
    if not one.findings and not one.boards:
        return _("The weights are the family’s judgement alone: nothing learned yet.")
    found = ngettext(
        "%(findings)s proven finding", "%(findings)s proven findings", one.findings
    )
    good = ngettext("%(boards)s good board", "%(boards)s good boards", one.boards)
    if max(one.findings, one.boards) >= MOST - 1:  # but the board itself
        said = _(
            "Of the weights %(share)s are this shop’s (%(found)s, %(good)s of the "
            "newest of this model), the rest is the family’s judgement."
        )
    else:
        said = _(
            "Of the weights %(share)s are this shop’s (%(found)s, %(good)s of this "
            "model), the rest is the family’s judgement."
        )
    return said % {
        "share": sayings.percent(one.shop_share),
        "found": found % {"findings": one.findings},
        "good": good % {"boards": one.boards},
    }
