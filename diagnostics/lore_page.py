"""The page of a board model's lore, as far as the bench knows it.

Minutes and money are of another room: minutes come in by ticket, money stands on the
page beside this.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from diagnostics import (
    bridge,
    donors,
    lore_differs,
    lore_faults,
    lore_pictures,
    lore_readings,
    lore_sentence,
    lore_tickets,
    revisions,
    sayings,
)
from diagnostics.lore_minutes import minutes_of
from diagnostics.lore_newest import MOST
from diagnostics.lore_tickets import Seen
from diagnostics.models import BoardModel, Origin
from shop.intake.models import ClosingKind


def context_of(
    model: BoardModel,
    seen: Seen,
    minutes: Mapping[int, int],
    now: datetime,
    *,
    opened: str = "",
    is_all: bool = False,
) -> dict[str, Any]:
    """``minutes`` of people by ticket id; ``opened`` is the stage that is unfolded."""
    patches = {model.pk: revisions.patches_of(model)}
    board = bridge.engine_board(model.family, patches[model.pk])
    pictures = lore_pictures.of_model(model, board)
    scene = lore_readings.scene_of(model, board, patches, now, pictures["places"])
    alone = {pk: minutes.get(pk, 0) for pk in seen.alone}
    faults = lore_faults.faults_of(model, board, patches, alone, now)
    ended = minutes_of(
        alone[pk] for pk, end in seen.alone.items() if end == ClosingKind.FIXED
    )
    facts = lore_sentence.facts_of(seen, faults, ended)
    differs = lore_differs.differences(model, board)
    return {
        "model": model,
        "family": sayings.family_text(board.family.name),
        "sentence": lore_sentence.sentence(facts, now),
        "most": MOST if seen.is_cut else None,
        "pictures": pictures,
        "good_boards": len(scene.boards),
        "stages": lore_readings.stages(scene, opened),
        "faults": faults,
        "causes": sum(fault.times for fault in faults),
        "mixed": len(seen.mixed),
        "donors": donors.donors_of(
            donors.rows(model.shop).filter(board_model=model, origin=Origin.DONOR)
        ),
        "differs": [one for one in differs if one.is_standing],
        "was_different": [one for one in differs if not one.is_standing],
        "tickets": lore_tickets.rows_of(seen, minutes, is_all=is_all),
    }
