"""Models of the shop's families on few virtual boards, and evidence for them."""

from collections.abc import Mapping
from functools import cache
from math import fsum

from diagnostics.engine.assess import assess
from diagnostics.engine.assessment import Assessment
from diagnostics.engine.boards import Board, board_of, load_family
from diagnostics.engine.circuit.predict import predict
from diagnostics.engine.evidence import Done, Evidence, Seen, Situation
from diagnostics.engine.models import Model, model_of
from diagnostics.engine.quantities import Outcome

BOARDS = 48
LEADS = 0.2
NOTHING_HELD = Situation()


@cache
def model(family: str) -> Model:
    """The plain board of a family."""
    board = board_of(load_family(family))
    return model_of(board, predict(board, BOARDS))


def seen(
    board: Board, readings: Mapping[str, float | str], epoch: int = 0
) -> tuple[Seen, ...]:
    """Values in SI net of the leads, "OL", or one of the check's answers."""
    return tuple(_seen(board, point, value, epoch) for point, value in readings.items())


def _seen(board: Board, point: str, value: float | str, epoch: int) -> Seen:
    condition = board.check(board.point(point).check).condition
    if value == "OL":
        return Seen(point, "", Outcome.OVER_LIMIT, None, epoch, condition)
    if isinstance(value, str):
        return Seen(point, "", Outcome.CATEGORY, None, epoch, condition, answer=value)
    return Seen(point, "", Outcome.VALUE, value, epoch, condition)


def assessed(
    one: Model,
    readings: Mapping[str, float | str],
    *done: Done,
    situation: Situation = NOTHING_HELD,
) -> Assessment:
    return assess(one, Evidence(seen(one.board, readings), done), situation)


def share(found: Assessment, part: str, mode: str = "") -> float:
    """The probability of a part, or of one of its ways of failing."""
    return fsum(
        s.probability
        for s in found.suspects
        if s.part_id == part and mode in {"", s.mode_id}
    )
