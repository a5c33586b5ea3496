"""The bench page of one board: what is lit, what stands beside it."""

from collections.abc import Mapping
from typing import Any
from uuid import uuid4

from django.http import HttpResponse
from django.shortcuts import redirect, render

from diagnostics import (
    beside,
    calculator_links,
    cards,
    ladders,
    part_page,
    presets,
    queries,
)
from diagnostics.band_strip import Strip, strip_of
from diagnostics.beside import Forms, Scene
from diagnostics.bridge import Judged, Known, like_of, observed
from diagnostics.engine.gates import Hold
from diagnostics.forms import (
    OverruleForm,
    ReadingForm,
)
from diagnostics.lit import Lit, lit_in
from diagnostics.models import Reading
from diagnostics.place import Place
from diagnostics.walk import Step, Walk, walk_of
from shop.people.access import AtWork

STATE = ("stage", "check", "point", "reading")
METER = "bench_meter"


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
        "walk": beside.checklist(scene, walk, lit, stage),
        "suspects": beside.suspects(known),
        "held": beside.held(scene, walk, stage),
        "work": beside.work(scene),
        "parts": part_page.beside(place, known),
        "calculations": calculator_links.newest(place),
        "holder": beside.holder(known, request.user),
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
