"""Part tests: their rows as engine values, and a setup as what is kept of it."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from typing import Any

from diagnostics.engine import chips, mosfet
from diagnostics.engine.guided import Answer, Position, Said, Taken, standing
from diagnostics.engine.packages import Channel, Outline, Pins, Seat, Setup
from diagnostics.models import PartTest, PartTestStep


def kept_of(setup: Setup) -> dict[str, Any]:
    """A setup as the row keeps it."""
    plain: dict[str, Any] = json.loads(json.dumps(asdict(setup)))
    return plain


def setup_of(kept: Mapping[str, Any]) -> Setup:
    own = kept["own"]
    return Setup(
        **{
            **kept,
            "outline": Outline(kept["outline"]),
            "channel": Channel(kept["channel"]),
            "seat": Seat(kept["seat"]),
            "own": Pins(**{role: tuple(own[role]) for role in own}) if own else None,
        }
    )


def position_of(test: PartTest, steps: Iterable[PartTestStep]) -> Position:
    """How far a test is, from its steps in their order."""
    stand = standing(taken(row) for row in steps)
    if test.kind == PartTest.Kind.CHIP:
        return chips.position(stand, test.setup["lead_ohms"])
    return mosfet.position(setup_of(test.setup), stand)


def taken(row: PartTestStep) -> Taken:
    said = Said(row.outcome)
    choice = row.typed if said is Said.CHOICE else ""
    return Taken(row.step, Answer(said, row.value, row.unit, choice))
