"""Current through a sense resistor, by the drop across it. PURE."""

from dataclasses import dataclass

from diagnostics.engine.calculators.shape import (
    Calculator,
    Input,
    Output,
    calculation,
    more_than_nought,
    not_below_nought,
)
from diagnostics.engine.reasons import Reason, reason

DIGITS_THAT_TELL = 3  # a drop of fewer meter digits tells no current (jd)


@dataclass(frozen=True)
class Sense:
    """Drop in volts, marked ohms, and the meter's last digit in volts."""

    drop_volts: float
    ohms: float
    resolution_volts: float = 0.0001


@dataclass(frozen=True)
class Sensed:
    """Amperes, watts in the resistor, and the amperes of one meter digit."""

    amperes: float
    watts: float
    step_amperes: float
    reasons: tuple[Reason, ...]


@calculation
def sense(given: Sense) -> Sensed:
    """I = V/R and P = I² R of a sense resistor.

    >>> found = sense(Sense(0.0185, 0.010))
    >>> round(found.amperes, 6), round(found.watts, 6)
    (1.85, 0.034225)
    """
    more_than_nought(ohms=given.ohms)
    not_below_nought(resolution_volts=given.resolution_volts)
    amperes = given.drop_volts / given.ohms
    step = given.resolution_volts / given.ohms
    said = [reason("one_digit_is", volts=given.resolution_volts, amps=step)]
    if abs(given.drop_volts) < DIGITS_THAT_TELL * given.resolution_volts:
        said.append(reason("drop_too_small", digits=DIGITS_THAT_TELL))
    if given.drop_volts < 0:
        said.append(reason("current_runs_back"))
    return Sensed(amperes, amperes * given.drop_volts, step, tuple(said))


CALCULATOR = Calculator(
    id="sense",
    name="Sense resistor",
    formula="I = V ÷ R,  P = I² · R",
    given=Sense,
    work=sense,
    inputs=(
        Input("drop_volts", "Drop across it", "V", help="Such as 18.5 mV."),
        Input("ohms", "Resistance as marked", "ohm", help="Such as 10 mΩ or R010."),
        Input("resolution_volts", "Last digit of the meter", "V", default="0.1 mV"),
    ),
    outputs=(
        Output("amperes", "Current", "A", reads=("k55",)),
        Output("watts", "Heat in the resistor", "W"),
    ),
    serves=("k55", "k21"),
)
