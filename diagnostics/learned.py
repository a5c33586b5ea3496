"""Rows -> what this shop has learned of a board model: its faults, its usual readings.

Nothing is kept: proven findings and good readings are counted anew each time, so that
it follows from the tickets alone.
"""

from dataclasses import dataclass

from diagnostics.bridge import Known
from diagnostics.engine.assessment import Learned
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.kernels import Usual
from diagnostics.engine.learning import (
    counts_of,
    learned_priors,
    shop_share,
    usual_of,
)
from diagnostics.engine.lore import Like
from diagnostics.engine.models import Model
from diagnostics.lore import boards_counted
from diagnostics.models import Finding


@dataclass(frozen=True)
class OfModel:
    """What to believe of a board model before its readings, and how much is ours."""

    before: Floats
    usual: dict[int, Usual]
    learned: Learned


def of_model(known: Known, model: Model) -> OfModel:
    """What was learned of a board's model from all its other boards."""
    found = findings(known)
    counts = counts_of(model.faults, model.before, found)
    blocks = [model.board.parts[part].block for part, _way in model.faults[1:]]
    goods = usual_readings(known, model)
    boards = {g.board for of_like in known.lore.goods.values() for g in of_like}
    return OfModel(
        learned_priors(model.before, blocks, counts),
        usual_of(model.kernels, goods),
        Learned(len(found), len(boards), shop_share(len(found), len(set(blocks)))),
    )


def findings(known: Known) -> list[tuple[str, str]]:
    """The proven findings on other boards of the model that count, until now."""
    boards = boards_counted([known.row.board_model_id], known.now)
    proven = Finding.objects.filter(
        board__in=boards.values("pk"),
        cause=Finding.Cause.PART,
        is_proven=True,
        at__lte=known.now,
    )
    others = proven.exclude(board_id=known.row.pk)
    return list(others.order_by("id").values_list("part_id", "mode_id"))


def usual_readings(known: Known, model: Model) -> dict[str, list[float]]:
    """What the model's good boards read, by column of the predictions."""
    points = model.kernels.predictions.points
    found: dict[str, list[float]] = {}
    for like, goods in known.lore.goods.items():
        at = column(model, like)
        if at is not None:
            values = found.setdefault(points[at], [])
            values += [good.value for good in goods]
    return found


def column(model: Model, like: Like) -> int | None:
    """Where the predictions hold readings taken like this."""
    point = model.board.points.get(like.point_id)
    if point is None or like.condition != model.board.check(point.check).condition:
        return None
    if like.polarity != point.polarity:
        return None
    return model.kernels.predictions.column(like.point_id, like.fitted)
