"""The bench page of one board: what is lit, what stands beside it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import uuid4

from django import forms
from django.http import HttpResponse
from django.shortcuts import redirect, render

from diagnostics import (
    calculator_links,
    cards,
    ladders,
    lore,
    part_page,
    presets,
    queries,
    sayings,
)
from diagnostics.band_strip import Strip, strip_of
from diagnostics.bridge import Judged, Known, like_of, observed
from diagnostics.engine.family import Check
from diagnostics.engine.gates import Hold
from diagnostics.forms import (
    FindingForm,
    InterventionForm,
    OverruleForm,
    ReadingForm,
)
from diagnostics.models import Reading
from diagnostics.place import Place
from diagnostics.walk import Step, Walk, walk_of
from diagnostics.words import cautions
from shop.people.access import AtWork
from shop.people.models import Person

STATE = ("stage", "check", "point", "reading")
METER = "bench_meter"
SUSPECTS_SHOWN = 4

Forms = Mapping[str, forms.Form]


@dataclass(frozen=True)
class Lit:
    """The card in hand: a point to read, or the verdict of one just read."""

    step: Step | None
    judged: Judged | None = None
    next: Step | None = None
    is_back: bool = False

    @property
    def stage_id(self) -> str:
        step = self.step or self.next
        return step.stage.id if step else ""

    @property
    def check(self) -> Check | None:
        return self.step.check if self.step else None


def state_of(request: AtWork) -> dict[str, str]:
    """What the page looks at, as its address or its form says."""
    asked = request.POST if request.method == "POST" else request.GET
    return {key: asked.get(key, "")[:60] for key in (*STATE, *presets.STATE)}


def show(
    request: AtWork, place: Place, *, refused: Forms | None = None
) -> HttpResponse:
    """The page, or for htmx its card with the columns beside it."""
    known = queries.known_of(place.board)
    lit = lit_in(walk_of(known), state_of(request))
    return answer(request, place, known, lit, refused or {})


def after(request: AtWork, place: Place, reading: Reading) -> HttpResponse:
    """A reading was kept: its verdict, in the same place."""
    back = state_of(request)["back"]
    page_url = place.url(reading=reading.pk, back=back)
    if not is_fragment(request):
        return redirect(page_url)
    known = queries.known_of(place.board)
    lit = lit_in(walk_of(known), {"reading": str(reading.pk), "back": back})
    response = answer(request, place, known, lit, {})
    response["HX-Push-Url"] = page_url
    return response


def answer(
    request: AtWork, place: Place, known: Known, lit: Lit, refused: Forms
) -> HttpResponse:
    context = page(request, place, known, lit, refused)
    template = "_swap.html" if is_fragment(request) else "board.html"
    status = 422 if refused else 200
    return render(request, f"diagnostics/{template}", context, status=status)


def is_fragment(request: AtWork) -> bool:
    return "HX-Request" in request.headers


def remember_meter(request: AtWork, reading: Reading) -> None:
    request.session[METER] = reading.meter_id


# --- what is lit ------------------------------------------------------------


def lit_in(walk: Walk, state: Mapping[str, str]) -> Lit:
    """The card that a state of the page asks for; else what comes next."""
    judged = _judged(walk.known, state.get("reading", ""))
    if judged is not None:
        step = _step(walk, judged.check.id, judged.reading.point_id)
        stage = step.stage.id if step else judged.check.stage
        back = walk.at(state.get("back", ""))
        following = back or walk.next_step(stage, judged.check.id)
        return Lit(step, judged, following, is_back=back is not None)
    step = _step(walk, state.get("check", ""), state.get("point", ""))
    if step is None and state.get("stage"):
        step = walk.next_step(state["stage"])
    return Lit(step or walk.next_step(*_newest(walk.known)))


def _judged(known: Known, reading_id: str) -> Judged | None:
    return next((o for o in known.judged if str(o.reading.pk) == reading_id), None)


def _step(walk: Walk, check_id: str, point_id: str) -> Step | None:
    steps = walk.of_check(check_id)
    named = [step for step in steps if step.point.id == point_id]
    unread = [step for step in steps if not step.is_read]
    return next(iter([*named, *unread, *steps]), None)


def _newest(known: Known) -> tuple[str, str]:
    """The stage and check of the newest reading: the walk goes on from there."""
    if not known.judged:
        return "", ""
    check = known.judged[-1].check
    return check.stage, check.id


# --- the page ---------------------------------------------------------------


def page(
    request: AtWork, place: Place, known: Known, lit: Lit, refused: Forms
) -> dict[str, Any]:
    walk, scene = walk_of(known), Scene(request, place, known, refused)
    stage = state_of(request)["stage"] or lit.stage_id
    is_to_read = lit.step is not None and lit.judged is None
    rail = lit.step.point.rail if lit.step and is_to_read else None
    return {
        "place": place,
        "page_url": place.url(),
        "is_data_first": queries.waits_for_data(place.ticket),
        "notices": notices(refused),
        "lit": card(scene, walk, lit),
        "ladder": ladders.bench(known, place, open_stage=stage, in_hand=rail),
        "walk": checklist(scene, walk, lit, stage),
        "suspects": suspects(known),
        "held": held(scene, walk, stage),
        "work": work(scene),
        "parts": part_page.beside(place, known),
        "calculations": calculator_links.newest(place),
        "holder": holder(known, request.user),
    }


def notices(refused: Forms) -> list[str]:
    """What was refused of acts that have no form of their own on the page."""
    shown = {"reading", "overrule", "intervention", "finding"}
    return [
        str(error)
        for slot, form in refused.items()
        if slot not in shown
        for errors in form.errors.values()
        for error in errors
    ]


@dataclass(frozen=True)
class Scene:
    """What every part of the page is made from."""

    request: AtWork
    place: Place
    known: Known
    refused: Forms


def card(scene: Scene, walk: Walk, lit: Lit) -> dict[str, Any]:
    """What the lit card shows: a check to take, or a verdict and what is next."""
    if lit.judged is None:
        return {"check": check_card(scene, walk, lit.step) if lit.step else None}
    following, settle = lit.next, lit.judged.verdict.settle
    good_board = presets.good_board_url(scene.place, lit.judged) if settle else ""
    return {
        "verdict": {
            **cards.verdict(scene.known, lit.judged),
            "settle": cards.settle(scene.known, lit.judged, scene.place, good_board),
        },
        "is_back": lit.is_back,
        "strip": strip_under(scene.known, lit.judged),
        "beside": beside_under(scene.known, lit.judged),
        "next": check_card(scene, walk, following) if following else None,
    }


def strip_under(known: Known, one: Judged) -> Strip | None:
    """The reading on its band; looking and outcomes without a value have none."""
    if one.reading.value is None:
        return None
    net = observed(one.reading).net
    goods = known.goods(like_of(one.reading))
    return strip_of(one.yardstick, net, one.verdict.word.value, goods=goods)


def beside_under(known: Known, one: Judged) -> dict[str, Any] | None:
    reading = one.reading
    return cards.beside(known, like_of(reading), reading.unit)


def check_card(scene: Scene, walk: Walk, step: Step) -> dict[str, Any]:
    known, holds = scene.known, walk.holds(step.check.id)
    steps = walk.of_check(step.check.id)
    preset = presets.preset_of(state_of(scene.request), walk, step)
    step = presets.turned(step, preset)
    return {
        **cards.check(known, step, scene.place),
        "points": cards.points(known, steps, step.point.id, scene.place),
        "calculators": calculator_links.beside(scene.place, step),
        "preset": preset,
        "form": scene.refused.get("reading") or reading_form(scene, step, preset),
        "leads": leads(scene, step),
        "hold": cards.hold(known, holds[0], scene.place) if holds else None,
        "overrule": scene.refused.get("overrule") or overrule_form(step, holds),
    }


def leads(scene: Scene, step: Step) -> dict[str, Any] | None:
    if not cards.has_leads_in_it(step.check):
        return None
    request, known = scene.request, scene.known
    meter = queries.meter_now(request.shop, request.session.get(METER))
    ohms = queries.lead_ohms(request.shop, request.user, meter, known.now)
    return cards.leads(known, step.point, ohms, scene.place)


def reading_form(scene: Scene, step: Step, preset: Mapping[str, Any]) -> ReadingForm:
    request = scene.request
    start = {
        "point_id": step.point.id,
        "uuid": uuid4(),
        "polarity": step.point.polarity,
        "is_four_wire": preset.get("is_four_wire", False),
        "meter": queries.meter_now(request.shop, request.session.get(METER)),
        "fitted": fitted_now(scene, step, preset),
        "course": preset.get("course", ""),
    }
    form = ReadingForm(shop=request.shop, initial=start)
    if preset.get("is_at_meter"):
        form.fields["meter"].widget.attrs["autofocus"] = True
    return form


def fitted_now(scene: Scene, step: Step, preset: Mapping[str, Any]) -> list[str]:
    """As at the last reading in this condition, unless it was to be changed."""
    if preset.get("is_emptied"):
        return []
    rail = scene.known.board.rails.get(step.point.rail or "")
    wanted = rail.up_with if rail and preset.get("is_filled") else ()
    return sorted({*scene.known.fitted_in(step.check.condition), *wanted})


def overrule_form(step: Step, holds: tuple[Hold, ...]) -> OverruleForm:
    gate_id = holds[0].gate_id if holds else ""
    return OverruleForm(initial={"check_id": step.check.id, "gate_id": gate_id})


def checklist(scene: Scene, walk: Walk, lit: Lit, stage_id: str) -> dict[str, Any]:
    """The walk of the open stage, check by check, and how far each stage is."""
    progress = list(walk.progress())
    here = next((one for one in progress if one.stage.id == stage_id), None)
    return {
        "stage_id": stage_id,
        "is_fitted": walk.known.board.is_fitted(stage_id),
        "title": sayings.stage_name(walk.known.board, stage_id),
        "read": here.read if here else 0,
        "all": here.all if here else 0,
        "checks": [
            cards.walked(walk, check, scene.place, is_here=check is lit.check)
            for check in walk.checks_in(stage_id)
        ],
        "stages": [
            {
                "name": sayings.family_text(one.stage.name),
                "read": one.read,
                "all": one.all,
                "url": scene.place.url(stage=one.stage.id),
                "is_here": one.stage.id == stage_id,
            }
            for one in progress
        ],
    }


def suspects(known: Known) -> dict[str, Any]:
    """The first four by probability, and what the others share."""
    ranking = known.ranking
    first = ranking.suspects[:SUSPECTS_SHOWN]
    others = ranking.suspects[SUSPECTS_SHOWN:]
    share = sum(one.probability for one in others) + ranking.something_else
    return {
        "first": [cards.suspect(known, one) for one in first],
        "more": len(others),
        "share": sayings.percent(share),
    }


def held(scene: Scene, walk: Walk, stage_id: str) -> list[dict[str, Any]]:
    """What holds checks of the open stage off: one entry for each cause."""
    found: dict[str, dict[str, Any]] = {}
    for check, hold in walk.held_in(stage_id):
        entry = found.setdefault(
            hold.gate_id,
            {**cards.hold(scene.known, hold, scene.place), "checks": []},
        )
        entry["checks"].append(
            {"id": check.id, "title": sayings.family_text(check.name)}
        )
    return list(found.values())


def work(scene: Scene) -> dict[str, Any]:
    """What was done to the board, and the forms to add to it."""
    known, refused = scene.known, scene.refused
    return {
        "done": [
            {
                "what": sayings.intervention(known.board, one),
                "disk": sayings.disk_ticked(one),
            }
            for one in known.interventions
        ],
        "cautions": [*cautions.said(cautions.AT_WORK), str(cautions.LOCAL_RULES)],
        "intervention": refused.get("intervention") or InterventionForm(known=known),
        "finding": refused.get("finding") or FindingForm(known=known),
        "untouched": untouched(scene),
    }


def untouched(scene: Scene) -> list[str]:
    """What may be kept as good for the model, once something was repaired."""
    known, ticket = scene.known, scene.place.ticket
    if not known.interventions:
        return []
    return [
        sayings.point_title(known.board, known.board.point(one.point_id))
        + f" {sayings.reading_value(one)}"
        for one in lore.untouched_of(known.row, ticket)
    ]


def holder(known: Known, person: Person) -> dict[str, Any]:
    """Who has the board in hand."""
    return {
        "is_me": known.holder_id == person.pk,
        "is_free": known.holder_id is None,
        "name": queries.name_of(known.holder_id, person),
    }
