"""The benchmark's meter, and what a reading with it means.

6000 counts, +-(0.5 % + 2 counts), leads of 0.1 to 0.3 ohm, OL above 2 V in diode
mode: its README says so.
"""

from diagnostics.deadboards.family import point_id
from diagnostics.engine.boards import Board
from diagnostics.engine.meters import MeterRange, MeterSpec, standard_uncertainty
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.verdicts import Observed, Verdict, judge

LEADS, LEAD_SPREAD = 0.2, 0.1
OL = "OL"


def _ranges(mode: str, first: float, count: int) -> tuple[MeterRange, ...]:
    scales = [first * 10.0**n for n in range(count)]
    return tuple(MeterRange(mode, scale, 0.5, 2, scale / 6000) for scale in scales)


METER = MeterSpec(
    "benchmark",
    (
        *_ranges("V", 6.0, 3),
        *_ranges("R", 600.0, 6),
        *_ranges("D", 6.0, 1),
        *_ranges("I", 6.0, 2),
    ),
    diode_volts=2.0,
)


def observed(board: Board, check: str, shown: float | str) -> Observed:
    """What the meter showed at a check, as the verdict sees it."""
    point, mode = board.point(point_id(check)), board.check(check).mode
    value = None if shown == OL else float(shown)
    return Observed(
        Outcome.OVER_LIMIT if value is None else Outcome.VALUE,
        value,
        0.0 if value is None else standard_uncertainty(METER, mode, value).u,
        mode,
        point.polarity,
        lead_ohms=LEADS,
        lead_spread=LEAD_SPREAD,
    )


def verdict(board: Board, check: str, shown: float | str) -> Verdict:
    condition = board.check(check).condition
    yardstick = board.yardstick(point_id(check), condition=condition)
    return judge(observed(board, check, shown), yardstick)
