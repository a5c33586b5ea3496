"""Readings for tests of the engine: what was typed, judged as the bench would."""

from collections.abc import Mapping

from diagnostics.engine import gates
from diagnostics.engine.boards import Board
from diagnostics.engine.gates import Standing
from diagnostics.engine.meters import HANDHELD, standard_uncertainty
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.verdicts import Observed, Verdict, judge

LEADS = 0.2


def observed(board: Board, point_id: str, value: float | str) -> Observed:
    """A value in SI, "OL", or one of the check's answers; two wires of 0.2 ohm."""
    point = board.point(point_id)
    check = board.check(point.check)
    if value == "OL":
        return Observed(Outcome.OVER_LIMIT, mode=check.mode, lead_ohms=LEADS)
    if isinstance(value, str):
        return Observed(Outcome.CATEGORY, mode=check.mode, category=value)
    u = standard_uncertainty(HANDHELD, check.mode, value).u
    return Observed(
        Outcome.VALUE, value, u, check.mode, point.polarity, lead_ohms=LEADS
    )


def standing(
    board: Board, readings: Mapping[str, float | str], **told: bool
) -> dict[str, Standing]:
    """What stands after these readings; across two rails is judged last."""
    found: dict[str, Standing] = {}
    across = {one for one in readings if board.point(one).pair is not None}
    for point_id in sorted(readings, key=lambda one: one in across):
        verdict, seen = _judged(board, point_id, readings[point_id], found)
        ohms = seen.net if seen.value is not None and seen.has_leads else None
        if seen.outcome is Outcome.OVER_LIMIT:
            ohms = float("inf")
        found[point_id] = Standing(verdict.word.value, ohms, **told)
    return found


def _judged(
    board: Board, point_id: str, value: float | str, found: Mapping[str, Standing]
) -> tuple[Verdict, Observed]:
    seen = observed(board, point_id, value)
    yardstick = gates.yardstick_of(board, point_id, found)
    answers = board.check(board.point(point_id).check).categories
    return judge(seen, yardstick, category_words=answers), seen
