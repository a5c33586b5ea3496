"""The circuit finder's page: the picture with its marks, and the groups beside it."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from diagnostics import finder_words as words
from diagnostics import sayings
from diagnostics.engine.landmarks_apart import apart, points_of, rails_of
from diagnostics.engine.landmarks_figures import CIRCUITS, Circuit, Landmark, Side
from diagnostics.finder import Finding, GroupSeen, cell_of, finding_of
from diagnostics.finder_drawing import drawing
from diagnostics.finder_forms import (
    LANDMARKS,
    MarkForm,
    OutlineForm,
    PictureForm,
    choices_of,
)
from diagnostics.finder_spot import Spot
from diagnostics.models import BoardMark, CircuitWord, PictureSide
from diagnostics.page_state import is_fragment
from shop.people.access import AtWork
from shop.photos import queries as photos

Refused = Mapping[str, forms.Form]
Shown = dict[str, Any]
START = {"size": 2, "look": "a"}


def show(
    request: AtWork, spot: Spot, *, refused: Refused | None = None
) -> HttpResponse:
    """The page, or for htmx what stands in it."""
    context = page(spot, refused or {})
    template = "_finder.html" if is_fragment(request) else "finder.html"
    status = 422 if refused else 200
    return render(request, f"diagnostics/{template}", context, status=status)


def page(spot: Spot, refused: Refused) -> Shown:
    finding = finding_of(spot.board_model, spot.engine_board())
    face = finding.faces.get(spot.side)
    listed = sorted(finding.groups, key=in_list)
    chosen = finding.group(spot.state["group"]) or to_ask_of(listed, spot.side)
    head, rest = words.opening(finding)
    return {
        "spot": spot,
        "place": spot.place,
        "model": spot.board_model,
        "state": spot.state,
        "hidden": [(key, value) for key, value in spot.state.items() if value],
        "may_mark": spot.may_mark,
        "head": head,
        "rest": rest,
        "sides": sides(spot, finding),
        "side_name": PictureSide(spot.side).label,
        "picture": face.picture if face else None,
        "drawn": drawing(finding, face, chosen) if face else None,
        "tools": tools(spot),
        "tool": spot.tool,
        "form": mark_form(spot, refused),
        "kinds": kinds(spot, finding),
        "rail": sayings.net_name(finding.board, spot.state["rail"]),
        "rails": rails(finding) if spot.tool == "point" else [],
        "counted": counted(finding),
        "marks": marks(finding, spot),
        "groups": [
            group(finding, spot, one, is_chosen=one is chosen) for one in listed
        ],
        "outline_form": refused.get("outline") or OutlineForm({"side": spot.side}),
        "picture_form": refused.get("picture") or PictureForm(),
        "refused": refused,
        "kept_photos": kept_photos(spot) if not face else [],
        "back_url": spot.back_url,
    }


def in_list(one: GroupSeen) -> tuple[bool, float, str]:
    """Named ones first, the surest on top."""
    is_unclear = one.is_disputed or not one.found.is_named
    share = 1.0 if one.found.is_confirmed else one.found.share
    return is_unclear, -share, one.letter


def to_ask_of(groups: Sequence[GroupSeen], side: Side) -> GroupSeen | None:
    """The first of this side that nobody has confirmed yet, else its first."""
    here = [one for one in groups if one.face.side is side]
    open_ones = [one for one in here if not one.found.is_confirmed]
    return next(iter([*open_ones, *here]), None)


# --- over and under the picture -----------------------------------------------


def sides(spot: Spot, finding: Finding) -> list[Shown]:
    return [
        {
            "label": PictureSide(side).label,
            "count": len(finding.faces[side].marks) if side in finding.faces else 0,
            "is_here": side is spot.side,
            "url": spot.url(side=side),
        }
        for side in Side
    ]


def tools(spot: Spot) -> list[Shown]:
    named = {
        "inductor": _("Mark inductor"),
        "landmark": _("Mark landmark"),
        "point": _("Mark a point"),
        "corner": _("Board’s corners"),
    }
    return [
        {
            "label": label,
            "is_here": tool == spot.tool,
            "is_main": tool == (spot.tool or "inductor"),
            "url": spot.url(tool="" if tool == spot.tool else tool),
        }
        for tool, label in named.items()
    ]


def mark_form(spot: Spot, refused: Refused) -> forms.Form:
    asked = {key: spot.state[key] for key in ("size", "look", "marking")}
    kept = {key: value for key, value in asked.items() if value}
    return refused.get("mark") or MarkForm(initial={**START, **kept})


def kinds(spot: Spot, finding: Finding) -> list[Shown]:
    """Landmarks to choose from; the first that is not marked yet is chosen."""
    marked = {mark.kind for face in finding.faces.values() for mark in face.marks}
    open_ones = [kind for kind in Landmark if kind not in marked]
    wanted = spot.state["kind"] or (open_ones[0] if open_ones else "ground")
    return [
        {"value": value, "label": label, "is_chosen": value == wanted}
        for value, label in LANDMARKS
    ]


def rails(finding: Finding) -> list[Shown]:
    return [
        {"value": rail.id, "label": sayings.family_text(rail.name)}
        for rail in finding.board.rails.values()
        if finding.board.is_fitted(rail.id)
    ]


def counted(finding: Finding) -> str:
    marks = [mark for face in finding.faces.values() for mark in face.marks]
    known = sum(mark.kind in set(Landmark) for mark in marks)
    inductors = sum(mark.kind == BoardMark.Kind.INDUCTOR for mark in marks)
    return _("%(landmarks)d landmarks, %(inductors)d inductors") % {
        "landmarks": known,
        "inductors": inductors,
    }


def marks(finding: Finding, spot: Spot) -> list[Shown]:
    """Every mark of this side, to be taken away one by one."""
    face = finding.faces.get(spot.side)
    letters = {m.pk: one.letter for one in finding.groups for m in one.marks}
    return [
        {
            "id": mark.pk,
            "name": capfirst(mark_name(finding, mark, letters.get(mark.pk, ""))),
            "cell": cell_of(mark.x, mark.y),
        }
        for mark in (face.marks if face else ())
    ]


def mark_name(finding: Finding, mark: BoardMark, letter: str) -> str:
    if mark.kind == BoardMark.Kind.POINT:
        return sayings.net_name(finding.board, mark.rail_id) or mark.rail_id
    if mark.kind != BoardMark.Kind.INDUCTOR:
        return str(mark.get_kind_display())
    told = [str(mark.get_size_display()), mark.look, mark.marking]
    return _("%(letter)s, inductor: %(told)s") % {
        "letter": letter,
        "told": ", ".join(one for one in told if one),
    }


def kept_photos(spot: Spot) -> list[Shown]:
    """Photos of the ticket in hand that may become the model's picture."""
    if spot.place is None or spot.place.ticket is None:
        return []
    return [
        {"id": one.pk, "label": one.get_side_display(), "at": one.received_at}
        for one in photos.of_ticket(spot.place.ticket)
    ]


# --- the list -----------------------------------------------------------------


def group(finding: Finding, spot: Spot, one: GroupSeen, *, is_chosen: bool) -> Shown:
    found = one.found
    is_clear = found.is_named and not one.is_disputed
    shown: Shown = {
        "letter": one.letter,
        "key": one.key,
        "url": spot.url(group=one.key, side=one.face.side),
        "is_chosen": is_chosen,
        "is_clear": is_clear,
        "is_confirmed": found.is_confirmed,
        "name": words.circuit_name(finding.board, one) if is_clear else words.unclear(),
        "percent": words.percent(found.share),
        "share": round(100 * found.share, 1),
        "why": words.why(finding, one),
        "side": PictureSide(one.face.side).label if len(finding.faces) > 1 else "",
        "words": [word_said(finding, each) for each in one.words],
    }
    if is_clear and not found.is_confirmed:
        shown |= {"next": words.next_likeliest(found)}
    if not is_clear and not one.is_disputed:
        shown |= unclear(finding, spot, one)
    if is_chosen:
        shown |= asked(finding, one)
    return shown


def word_said(finding: Finding, word: CircuitWord) -> Shown:
    return {
        "by": word.by.name,
        "at": word.at,
        "name": answer_name(finding, Circuit(word.circuit), word.rail_id),
        "value": answer(Circuit(word.circuit), word.rail_id),
    }


def unclear(finding: Finding, spot: Spot, one: GroupSeen) -> Shown:
    """The two best, and what tells them apart."""
    best = [circuit for circuit, _share in one.found.best]
    if len(best) < 2:
        return {}
    between = apart(best[0], best[1])
    points = points_of(finding.board, between)
    return {
        "two": capfirst(words.two_best(one.found)),
        "is_taken": one.found.is_taken,
        "apart": words.apart(finding.board, between, has_check=bool(points)),
        "checks": [
            {
                "name": sayings.point_title(finding.board, point),
                "id": point.check,
                "url": spot.place.url(check=point.check, point=point.id)
                if spot.place
                else "",
            }
            for point in points
        ],
    }


def asked(finding: Finding, one: GroupSeen) -> Shown:
    """The buttons of the chosen group."""
    rails: dict[Circuit, tuple[str, ...]] = {
        each: rails_of(finding.board, each) for each in CIRCUITS
    }
    best = [circuit for circuit, _share in one.found.best]
    is_clear = one.found.is_named and not one.is_disputed
    offered = [one.found.circuit] if is_clear else best
    return {
        "marks": ",".join(str(mark.pk) for mark in one.marks),
        "newest_word": one.newest_word,
        "offered": []
        if one.found.is_confirmed or one.is_disputed
        else [{"value": each, "name": words.name_of(each)} for each in offered],
        "relation": words.relation(offered[0]) if offered else "",
        "choices": [
            {
                "value": answer(circuit, rail),
                "name": answer_name(finding, circuit, rail),
            }
            for circuit, rail in choices_of(rails)
        ],
    }


def answer(circuit: Circuit, rail: str) -> str:
    return f"{circuit}/{rail}" if rail else circuit.value


def answer_name(finding: Finding, circuit: Circuit, rail: str) -> str:
    return sayings.net_name(finding.board, rail) or words.name_of(circuit)
