"""How evenly the phases of one converter share the current. PURE."""

from dataclasses import dataclass

from diagnostics.engine.calculators.shape import (
    Calculator,
    CalculatorError,
    Input,
    Kind,
    Output,
    calculation,
    more_than_nought,
)
from diagnostics.engine.reasons import Reason, reason

GOOD_UNDER = 20.0  # per cent of imbalance (jd)
WATCH_OVER = 40.0  # per cent (jd)


@dataclass(frozen=True)
class Phases:
    """Mean drops across the inductors in volts; one inductor's ohms (DCR)."""

    drop_volts: tuple[float, ...]
    dcr_ohms: float
    is_steady_load: bool = False


@dataclass(frozen=True)
class PhaseBalance:
    """Amperes of each phase and their sum; imbalance in per cent of the mean."""

    amperes: tuple[float, ...]
    total_amperes: float
    imbalance_percent: float
    reasons: tuple[Reason, ...]


@calculation
def balance(given: Phases) -> PhaseBalance:
    """I = drop/DCR of each; imbalance = (max - min)/mean.

    Raises ``CalculatorError``: ``two_phases_at_least``, ``no_current_flows`` (name).
    """
    more_than_nought(dcr_ohms=given.dcr_ohms)
    if len(given.drop_volts) < 2:
        raise CalculatorError("two_phases_at_least", name="drop_volts")
    amperes = tuple(volts / given.dcr_ohms for volts in given.drop_volts)
    mean = sum(amperes) / len(amperes)
    if not mean > 0:
        raise CalculatorError("no_current_flows", name="drop_volts")
    percent = 100 * (max(amperes) - min(amperes)) / mean
    said = [
        reason("phase_carries", number=number, amps=one)
        for number, one in enumerate(amperes, start=1)
    ]
    said.append(_judged(given, percent))
    return PhaseBalance(amperes, sum(amperes), percent, tuple(said))


def _judged(given: Phases, percent: float) -> Reason:
    """Phases are shed at idle, so only a steady load judges."""
    if not given.is_steady_load:
        return reason("phases_may_be_shed")
    if percent < GOOD_UNDER:
        return reason("phases_even", limit_percent=GOOD_UNDER)
    if percent > WATCH_OVER:
        return reason("phases_uneven", limit_percent=WATCH_OVER)
    return reason("phases_between", low_percent=GOOD_UNDER, high_percent=WATCH_OVER)


CALCULATOR = Calculator(
    id="phases",
    name="Phase balance",
    formula="I = mean drop across the inductor ÷ DCR,  imbalance = (max − min) ÷ mean",
    given=Phases,
    work=balance,
    inputs=(
        Input(
            "drop_volts",
            "Mean drop across each inductor",
            "V",
            Kind.MANY,
            help="One a line, such as 9.0 mV.",
        ),
        Input("dcr_ohms", "One inductor’s ohms (DCR)", "ohm", help="Such as 0.9 mΩ."),
        Input("is_steady_load", "Under steady load", kind=Kind.TICK),
    ),
    outputs=(
        Output("imbalance_percent", "Imbalance", "%"),
        Output("total_amperes", "All phases together", "A"),
    ),
    serves=("k50", "k58"),
)
