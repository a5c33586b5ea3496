"""What current injection never goes beyond. PURE. (Domain brief, section 7.5.)"""

from collections.abc import Mapping

from diagnostics.engine.calculators.shape import (
    CalculatorError,
    at_most,
    more_than_nought,
)

SHARE_OF_NOMINAL = 0.9  # of the rail's nominal volts (jd); never above it (hard rule)
FIRST_VOLTS = 1.0  # at the first step (jd)
STEP_AMPERES = 0.5  # the first step, and each one up (jd)
CEILING_AMPERES = {"thin": 3.0, "core": 5.0}  # thin boards, core planes (jd)
MOST_SECONDS = 30.0  # each step (jd)
SLACK = 1 + 1e-9  # for floats alone, never for a person


def most_volts(nominal_volts: float, last_amperes: float | None) -> float:
    """Volts that the supply may be set to, at first and later.

    >>> most_volts(19.0, None), round(most_volts(1.05, None), 3)
    (1.0, 0.945)
    """
    share = SHARE_OF_NOMINAL * nominal_volts
    return min(share, FIRST_VOLTS) if last_amperes is None else share


def most_amperes(board_kind: str, last_amperes: float | None) -> float:
    """Amperes of this step: half an ampere more than the last, to the ceiling.

    Raises ``CalculatorError``: ``unknown_board_kind`` (name).
    """
    if board_kind not in CEILING_AMPERES:
        raise CalculatorError("unknown_board_kind", name="board_kind")
    return min((last_amperes or 0.0) + STEP_AMPERES, CEILING_AMPERES[board_kind])


def check_limits(
    *,
    nominal_volts: float,
    set_volts: float,
    set_amperes: float,
    last_amperes: float | None,
    seconds: float,
    board_kind: str,
    is_main: bool,
    high_side: str,
    out: Mapping[str, bool],
) -> None:
    """Refuse a step that goes beyond a limit.

    Raises ``CalculatorError``: ``high_side_shorted`` or ``high_side_open`` where
    the rail is main, ``must_be_out`` (name), ``volts_over_limit`` (name, limit),
    ``amperes_over_limit`` (name, limit), ``must_be_at_most`` and
    ``must_be_positive``.
    """
    if is_main:
        _check_high_side(high_side)
    for name, is_out in out.items():
        if not is_out:
            raise CalculatorError("must_be_out", name=name)
    more_than_nought(
        nominal_volts=nominal_volts,
        set_volts=set_volts,
        set_amperes=set_amperes,
        seconds=seconds,
        last_amperes=last_amperes,
    )
    volts = most_volts(nominal_volts, last_amperes)
    if set_volts > volts * SLACK:
        raise CalculatorError("volts_over_limit", name="set_volts", limit_volts=volts)
    amperes = most_amperes(board_kind, last_amperes)
    if set_amperes > amperes * SLACK:
        raise CalculatorError(
            "amperes_over_limit", name="set_amperes", limit_amps=amperes
        )
    at_most(MOST_SECONDS, "s", seconds=seconds)


def _check_high_side(high_side: str) -> None:
    if high_side == "bad":
        raise CalculatorError("high_side_shorted", name="is_main")
    if high_side != "passed":
        raise CalculatorError("high_side_open", name="is_main")
