"""How long a capacitor takes to drain through a resistor. PURE."""

from dataclasses import dataclass
from math import log

from diagnostics.engine.calculators.shape import (
    Calculator,
    CalculatorError,
    Input,
    Output,
    calculation,
    more_than_nought,
)
from diagnostics.engine.reasons import Reason, reason

GONE_VOLTS = 0.1  # where the bench counts power as gone (jd, check k03)


@dataclass(frozen=True)
class Discharge:
    """Farads, ohms, volts at the beginning and at the end."""

    farad: float
    ohms: float
    start_volts: float
    end_volts: float = GONE_VOLTS


@dataclass(frozen=True)
class Drained:
    """Seconds; amperes and watts at the first moment; joules stored."""

    seconds: float
    peak_amperes: float
    peak_watts: float
    joules: float
    reasons: tuple[Reason, ...]


@calculation
def discharge(given: Discharge) -> Drained:
    """t = R C ln(V0/V), with the first moment's current and heat.

    Raises ``CalculatorError``: ``end_above_start`` (name).
    """
    more_than_nought(
        farad=given.farad,
        ohms=given.ohms,
        start_volts=given.start_volts,
        end_volts=given.end_volts,
    )
    if given.end_volts >= given.start_volts:
        raise CalculatorError("end_above_start", name="end_volts")
    seconds = given.ohms * given.farad * log(given.start_volts / given.end_volts)
    return Drained(
        seconds=seconds,
        peak_amperes=given.start_volts / given.ohms,
        peak_watts=given.start_volts**2 / given.ohms,
        joules=given.farad * given.start_volts**2 / 2,
        reasons=(reason("never_by_tweezers"),),
    )


CALCULATOR = Calculator(
    id="discharge",
    name="Discharge",
    formula="t = R · C · ln(V at first ÷ V at last)",
    given=Discharge,
    work=discharge,
    inputs=(
        Input("farad", "Capacitors together", "F", default="200 µF"),
        Input("ohms", "Discharged through", "ohm", default="100 Ω"),
        Input("start_volts", "Volts at first", "V"),
        Input("end_volts", "Volts at last", "V", default="0.1 V"),
    ),
    outputs=(
        Output("seconds", "Time", "s"),
        Output("peak_amperes", "Current at first", "A"),
        Output("peak_watts", "Heat in the resistor at first", "W"),
        Output("joules", "Energy stored", "J"),
    ),
    serves=("k03",),
)
