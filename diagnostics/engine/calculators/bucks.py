"""A step-down converter's duty and ripple. PURE."""

from dataclasses import dataclass

from diagnostics.engine.calculators.shape import (
    Calculator,
    CalculatorError,
    Input,
    Output,
    at_most,
    calculation,
    more_than_nought,
    not_below_nought,
)
from diagnostics.engine.reasons import Reason, reason

RIPPLE_WATCH = 3.0  # per cent of the output, at load (jd)


@dataclass(frozen=True)
class Buck:
    """A step-down converter: volts, hertz, henry, and its output capacitor."""

    input_volts: float
    output_volts: float
    hertz: float
    henry: float
    farad: float
    esr_ohms: float = 0.0
    efficiency: float = 1.0


@dataclass(frozen=True)
class BuckRipple:
    """Duty (0 to 1), inductor ripple in amperes, output ripple in volts."""

    duty: float
    duty_percent: float
    ripple_amperes: float
    ripple_volts: float
    reasons: tuple[Reason, ...]


@calculation
def buck(given: Buck) -> BuckRipple:
    """D = Vout/(Vin eta); dI = (Vin-Vout) D/(f L); dV = dI (ESR + 1/(8 f C)).

    Raises ``CalculatorError``: ``input_below_output``, ``duty_beyond_one``.
    Formulas: TI SLVA477 equations 1, 2 and 12 (from memory).
    """
    _check(given)
    duty = given.output_volts / (given.input_volts * given.efficiency)
    if duty > 1:
        raise CalculatorError("duty_beyond_one", name="efficiency")
    headroom = given.input_volts - given.output_volts
    amperes = headroom * duty / (given.hertz * given.henry)
    volts = amperes * (given.esr_ohms + 1 / (8 * given.hertz * given.farad))
    said = [reason("phase_node_mean", volts=given.output_volts)]
    if volts > RIPPLE_WATCH / 100 * given.output_volts:
        said.append(
            reason("ripple_high", ripple_volts=volts, limit_percent=RIPPLE_WATCH)
        )
    return BuckRipple(duty, duty * 100, amperes, volts, tuple(said))


def _check(given: Buck) -> None:
    more_than_nought(
        output_volts=given.output_volts,
        hertz=given.hertz,
        henry=given.henry,
        farad=given.farad,
        efficiency=given.efficiency,
    )
    not_below_nought(esr_ohms=given.esr_ohms)
    at_most(1.0, "%", efficiency=given.efficiency)
    if given.input_volts <= given.output_volts:
        raise CalculatorError("input_below_output", name="input_volts")


CALCULATOR = Calculator(
    id="buck",
    name="Step-down converter",
    formula="D = Vout ÷ (Vin · η),  ΔI = (Vin − Vout) · D ÷ (f · L),"
    "  ΔV = ΔI · (ESR + 1 ÷ (8 · f · C))",
    given=Buck,
    work=buck,
    inputs=(
        Input("input_volts", "Input", "V"),
        Input("output_volts", "Output", "V"),
        Input("hertz", "Switching frequency", "Hz", default="400 kHz"),
        Input("henry", "Inductor", "H", help="Such as 4.7 µH or 4u7."),
        Input("farad", "Output capacitors together", "F", default="220 µF"),
        Input("esr_ohms", "Their series ohms (ESR)", "ohm", default="10 mΩ"),
        Input("efficiency", "Efficiency", "%", default="100 %", scale=0.01),
    ),
    outputs=(
        Output("ripple_volts", "Output ripple, peak to peak", "V"),
        Output("ripple_amperes", "Inductor ripple, peak to peak", "A"),
        Output("duty_percent", "Duty", "%"),
    ),
    serves=("k33", "k50"),
)
