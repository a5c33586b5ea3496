"""What a tap from an unclear verdict has set on the card that it leads to."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from django.urls import reverse

from diagnostics import queries, sayings, settling, words
from diagnostics.bridge import Judged
from diagnostics.models import Polarity
from diagnostics.place import Place
from diagnostics.walk import Step, Walk

STATE = ("settle", "back", "polarity")
"""In the address: what is to be settled, the point to come back to, the probes."""

Preset = Mapping[str, Any]


def preset_of(state: Mapping[str, str], walk: Walk, step: Step) -> Preset:
    """What is set on the card of a step; empty where no tap led to it."""
    tap = settling.tap_of(state["settle"])
    if tap is None or state["point"] != step.point.id:
        return {}
    back = walk.at(state["back"])
    return {
        "code": state["settle"],
        "sentence": words.settle_sentence(state["settle"]),
        "is_four_wire": tap.is_four_wire,
        "is_at_meter": tap.is_at_meter,
        "is_at_supply": tap.is_at_supply,
        "is_emptied": tap.is_emptied,
        "is_filled": tap.is_filled,
        "course": tap.course if tap.course in step.check.patterns else "",
        "polarity": state["polarity"] if tap.is_swapped else "",
        "opens_how": tap.opens_how,
        "back": state["back"] if back else "",
        "back_title": sayings.point_title(walk.known.board, back.point) if back else "",
    }


def turned(step: Step, preset: Preset) -> Step:
    """The step with red and black as they were asked for."""
    polarity = preset.get("polarity", "")
    if polarity not in Polarity.values:
        return step
    return replace(step, point=replace(step.point, polarity=polarity))


def good_board_url(place: Place, one: Judged) -> str:
    """The same point on a known-good board of this model; else where to name one."""
    row = queries.known_good_beside(place.board)
    if row is None:
        return reverse("diagnostics:references")
    return Place(None, row).url(check=one.check.id, point=one.point.id)
