"""The column beside the card: walk, what is held off, seen and done."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms

from diagnostics import cards, holding, lore, sayings, skip_card, walk_words
from diagnostics.bridge import Known
from diagnostics.engine.assessment import Assessment
from diagnostics.forms import FindingForm, InterventionForm
from diagnostics.lit import Lit
from diagnostics.models import MachineKind
from diagnostics.place import Place
from diagnostics.walk import Walk
from diagnostics.words import cautions
from shop.people.access import AtWork
from shop.people.models import Person

Forms = Mapping[str, forms.Form]


@dataclass(frozen=True)
class Scene:
    """What every part of the page is made from.

    ``version`` says how new the board is (``news``). ``said`` is ``None`` while it is
    being worked out; it ``is_hidden`` from a person who did not ask for it yet.
    ``is_walking``: they follow the walk, not the next best check. ``is_kept``: a tablet
    keeps it for when the network is away.
    """

    request: AtWork
    place: Place
    known: Known
    refused: Forms
    version: str = ""
    said: Assessment | None = None
    is_hidden: bool = False
    is_walking: bool = False
    is_kept: bool = False


def checklist(scene: Scene, walk: Walk, lit: Lit, stage_id: str) -> dict[str, Any]:
    """The walk of the open stage, check by check, and how far each stage is."""
    progress = list(walk.progress())
    here = next((one for one in progress if one.stage.id == stage_id), None)
    return {
        "stage_id": stage_id,
        "is_fitted": walk.known.board.is_fitted(stage_id),
        "title": sayings.stage_name(walk.known.board, stage_id),
        "progress": walk_words.progress(here) if here else "",
        "checks": [
            {
                **cards.walked(walk, check, scene.place, is_here=check is lit.check),
                "skip": skip_card.said(walk, check.id),
            }
            for check in walk.checks_in(stage_id)
        ],
        "absent": skip_card.absent(walk.known, stage_id),
        "stages": [
            {
                "name": sayings.family_text(one.stage.name),
                "progress": walk_words.progress(one),
                "url": scene.place.url(stage=one.stage.id),
                "is_here": one.stage.id == stage_id,
            }
            for one in progress
        ],
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
    if not known.work:
        return []
    return [
        sayings.point_title(known.board, known.board.point(one.point_id))
        + f" {sayings.reading_value(one)}"
        for one in lore.untouched_of(known.row, ticket)
    ]


def holder(known: Known, person: Person, place: Place) -> dict[str, Any]:
    """Who has the board in hand, and what runs by itself meanwhile."""
    return {
        **machine_time(place),
        "is_me": known.holder_id == person.pk,
        "is_free": known.holder_id is None,
        "name": holding.name_of(known.holder_id, person),
    }


def machine_time(place: Place) -> dict[str, Any]:
    """What runs on this ticket's machine, and what may be started."""
    if place.ticket is None:
        return {"runs": [], "kinds": []}
    runs = list(place.ticket.machine_runs.filter(end=None))
    running = {run.kind for run in runs}
    kinds = [choice for choice in MachineKind.choices if choice[0] not in running]
    return {"runs": runs, "kinds": kinds}
