"""A check as a card: what to do, what to expect, and the form for its reading."""

from collections.abc import Mapping
from typing import Any
from uuid import uuid4

from diagnostics import (
    calculator_links,
    cards,
    condition_step,
    foretelling,
    next_best,
    pad,
    presets,
    queries,
    seeing,
    skip_card,
    where,
)
from diagnostics.beside import Scene
from diagnostics.engine.gates import Hold
from diagnostics.forms import OverruleForm, ReadingForm
from diagnostics.models import Meter
from diagnostics.page_state import state_of
from diagnostics.taking import Asked
from diagnostics.walk import Step, Walk

METER = "bench_meter"


def check_card(scene: Scene, walk: Walk, step: Step) -> dict[str, Any]:
    """What another repairer told may be entered past a hold: it opens no gate."""
    known, is_told = scene.known, bool(state_of(scene.request)["told"])
    holds = () if is_told else walk.holds(step.check.id)
    steps = walk.of_check(step.check.id)
    preset = presets.preset_of(state_of(scene.request), walk, step)
    step = presets.turned(step, preset)
    offered = next_best.best(walk, scene.said)
    meter = meter_now(scene)
    ohms = lead_ohms(scene, step, meter)
    return {
        **cards.check(known, step, scene.place),
        "points": cards.points(known, steps, step.point.id, scene.place),
        "ticks": cards.ticks(known, steps) if step.check.form == "ticks" else [],
        "pad": {
            **pad.pad(step.check, step.point.unit, scene.request.shop),
            "foretold": foretelling.on_pad(
                known,
                step,
                scene.request.user,
                as_offered(scene, step, preset, meter),
                ohms,
            ),
        },
        "calculators": calculator_links.beside(scene.place, step),
        "told": cards.told(known, step.point, scene.place),
        "is_told": is_told,
        "where": where.of(scene.place, known, step.point, step.check.mode),
        "is_look": seeing.is_look(step.check),
        "preset": preset,
        "form": scene.refused.get("reading")
        or reading_form(
            scene,
            step,
            preset,
            meter,
            offered=offered.step.point.id if offered else "",
        ),
        "leads": cards.leads(known, step.point, ohms, scene.place)
        if cards.has_leads_in_it(step.check)
        else None,
        "condition": condition_step.step(
            scene, step, fitted=fitted_now(scene, step, preset)
        ),
        "skip": skip_card.on_card(
            walk,
            step.check,
            state_of(scene.request)["passed"],
            scene.refused.get("pass_by"),
        ),
        "hold": cards.hold(known, holds[0], scene.place) if holds else None,
        "told_url": scene.place.url(check=step.check.id, point=step.point.id, told=1),
        "overrule": scene.refused.get("overrule") or overrule_form(step, holds),
    }


def lead_ohms(scene: Scene, step: Step, meter: Meter | None) -> float | None:
    if not cards.has_leads_in_it(step.check):
        return None
    request = scene.request
    return queries.lead_ohms(request.shop, request.user, meter, scene.known.now)


def meter_now(scene: Scene) -> Meter | None:
    request = scene.request
    return queries.meter_now(request.shop, request.session.get(METER))


def as_offered(
    scene: Scene, step: Step, preset: Mapping[str, Any], meter: Meter | None
) -> Asked:
    """An entry as the card offers it, its value left out."""
    course = preset.get("course", "")
    return Asked(
        typed="OL",
        pattern={"kind": course} if course else None,
        polarity=step.point.polarity,
        is_four_wire=preset.get("is_four_wire", False),
        meter=meter,
        fitted=fitted_now(scene, step, preset),
    )


def reading_form(
    scene: Scene,
    step: Step,
    preset: Mapping[str, Any],
    meter: Meter | None,
    *,
    offered: str,
) -> ReadingForm:
    request = scene.request
    start = {
        "point_id": step.point.id,
        "uuid": uuid4(),
        "offered": offered,
        "polarity": step.point.polarity,
        "is_four_wire": preset.get("is_four_wire", False),
        "is_told": bool(state_of(request)["told"]),
        "meter": meter,
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
