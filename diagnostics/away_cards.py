"""The cards of a board as the server draws them, for a tablet to keep.

While the network is away the walk goes on with these, so they are what the page's own
cards are, without a form's token. A check that is held off now stays so on the tablet,
and so does what a reading taken meanwhile might hold off: the tablet judges nothing,
and every doubt holds. How the board stands is asked on the tablet too, so each card has
both that step and the entry.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from django.template.loader import render_to_string

from diagnostics import bench_page, conditions, passing, sayings, seeing
from diagnostics.beside import Scene
from diagnostics.bridge import POWER_GONE
from diagnostics.engine.family import Check
from diagnostics.lit import Lit
from diagnostics.walk import Step, Walk, walk_of

MOST_CARDS = 40


def cards(scene: Scene, stage_id: str) -> dict[str, Any]:
    """The stage in hand and those that follow it, in the order of the walk."""
    scene = replace(scene, is_kept=True)
    walk = walk_of(scene.known)
    return {
        "board": scene.known.row.board_model.number,
        "ticket": scene.place.number if scene.place.ticket else "",
        "cards": [
            _card(scene, walk, step)
            for step in list(_steps(walk, stage_id))[:MOST_CARDS]
        ],
        "power_gone": POWER_GONE,
        "powers": sorted(passing.POWERS_THE_BOARD),
        "stands": conditions.now_of(scene.known).condition,
    }


def _steps(walk: Walk, stage_id: str) -> Iterator[Step]:
    for stage in walk.stages_from(stage_id):
        for step in walk.of_stage(stage):
            if not step.check.is_on_request:
                yield step


def _card(scene: Scene, walk: Walk, step: Step) -> dict[str, Any]:
    check = step.check
    holds = walk.holds(check.id)
    return {
        "check": check.id,
        "point": step.point.id,
        "title": sayings.point_title(scene.known.board, step.point),
        "is_read": step.is_read,
        "held": passing.why(scene.known, holds[0]) if holds else "",
        "gates": list(gates_of(walk, check)),
        "condition": check.condition,
        "is_passed_by": walk.is_passed_by(check.id),
        "html": "" if holds else drawn(scene, walk, step),
    }


def gates_of(walk: Walk, check: Check) -> tuple[str, ...]:
    """Every gate that might hold the check off, whatever is read at it."""
    guards = walk.known.board.guards_of_power if check.is_powered else ()
    return (*check.gates, *guards)


def drawn(scene: Scene, walk: Walk, step: Step) -> str:
    """As on the page, without the form's token: the outbox has its own."""
    context = {
        "place": scene.place,
        "lit": bench_page.card(scene, walk, Lit(step)),
        "seeing": seeing.beside(scene) if seeing.is_look(step.check) else None,
        "csrf_token": "",
    }
    return render_to_string("diagnostics/_card.html", context, scene.request)
