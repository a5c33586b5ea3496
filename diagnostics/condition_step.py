"""The change of the board's condition as a step above the entry, asked once."""

from functools import partial
from typing import Any
from uuid import uuid4

from diagnostics import conditions, passing, queries, sayings, walk_words
from diagnostics.beside import Scene
from diagnostics.conditions import Supply
from diagnostics.engine.family import Check
from diagnostics.engine.quantities import show
from diagnostics.page_state import state_of
from diagnostics.walk import Step
from diagnostics.walk_forms import ConditionForm

Card = dict[str, Any]


def step(scene: Scene, one: Step, *, fitted: list[str]) -> Card | None:
    """How the board stands for a check: as it is now, or what is asked first.

    ``None`` for a check that is taken with the board as it is. ``fitted`` is what
    the card would have in the board.
    """
    known, check = scene.known, one.check
    state = state_of(scene.request)
    if not check.condition or state["told"]:
        return None
    now = conditions.now_of(known)
    refused = scene.refused.get("condition")
    is_asked = conditions.is_asked(known, check) or bool(state["ask"] or refused)
    is_asked = is_asked and "reading" not in scene.refused
    card = {
        "is_asked": is_asked,
        "is_change": now.condition != check.condition,
        "wanted": str(sayings.CONDITIONS[check.condition]),
        "now": str(sayings.CONDITIONS[now.condition]) if now.condition else "",
        "with": walk_words.stands_with(now),
        "again_url": scene.place.url(check=check.id, point=one.point.id, ask=1),
    }
    is_drawn = is_asked or scene.is_kept
    return card | asked(scene, check, fitted) if is_drawn else card


def asked(scene: Scene, check: Check, fitted: list[str]) -> Card:
    """The form that says it is so, filled from last time, and what to mind."""
    known = scene.known
    of_model = partial(queries.supply_of_model, known.row)
    supply = conditions.supply_for(known, check.condition, of_model)
    most = passing.most_amps(known, check.id)
    return {
        "form": scene.refused.get("condition") or form(check, supply, most, fitted),
        "fitted": walk_words.named(fitted),
        "has_supply": supply is not None,
        "source": walk_words.SUPPLIES[supply.source] if supply else "",
        "gates": walk_words.gates(passing.gates_of_power(known, check.id))
        if check.is_powered
        else [],
    }


def form(
    check: Check, supply: Supply | None, most: float | None, fitted: list[str]
) -> ConditionForm:
    limit = supply.limit_amps if supply else None
    if most is not None:
        limit = min(limit, most) if limit is not None else most
    start = {
        "check_id": check.id,
        "condition": check.condition,
        "uuid": uuid4(),
        "supply_volts": typed(supply.volts if supply else None, "V"),
        "supply_limit_amps": typed(limit if supply else None, "A"),
        "fitted": fitted,
    }
    return ConditionForm(initial=start)


def typed(value: float | None, unit: str) -> str:
    """As a person would type it: with a plain space before the unit."""
    if value is None:
        return ""
    return show(value, unit).replace("\N{NO-BREAK SPACE}", " ")
