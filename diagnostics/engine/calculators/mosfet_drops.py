"""What drops across a MOSFET that is on. PURE."""

from dataclasses import dataclass

from diagnostics.engine.calculators.shape import (
    Calculator,
    Input,
    Output,
    calculation,
    more_than_nought,
    needed,
    not_below_nought,
)
from diagnostics.engine.reasons import Reason, reason

WATCH_OVER = 0.100  # volts across a switch that is on (jd)


@dataclass(frozen=True)
class OnMosfet:
    """Amperes, with its ohms when on to reckon the drop, or the drop as read."""

    amperes: float
    on_ohms: float | None = None
    drop_volts: float | None = None


@dataclass(frozen=True)
class OnDrop:
    """Volts across it, ohms when on, and watts in it."""

    volts: float
    ohms: float
    watts: float
    reasons: tuple[Reason, ...]


@calculation
def on_drop(given: OnMosfet) -> OnDrop:
    """V = I R_on; with the drop read, R_on = V/I. Over 100 mV: watch.

    >>> on_drop(OnMosfet(2.0, on_ohms=0.010)).volts
    0.02
    """
    more_than_nought(amperes=given.amperes)
    not_below_nought(on_ohms=given.on_ohms, drop_volts=given.drop_volts)
    if given.drop_volts is None:
        needed(on_ohms=given.on_ohms)
    expected = given.amperes * (given.on_ohms or 0.0)
    volts = expected if given.drop_volts is None else given.drop_volts
    said = []
    if volts > WATCH_OVER:
        said.append(reason("switch_drops_much", volts=volts, limit_volts=WATCH_OVER))
    else:
        said.append(reason("switch_is_on", volts=volts, limit_volts=WATCH_OVER))
    if given.drop_volts is not None and given.on_ohms is not None:
        said.append(reason("drop_expected", volts=expected))
    return OnDrop(volts, volts / given.amperes, volts * given.amperes, tuple(said))


CALCULATOR = Calculator(
    id="mosfet_drop",
    name="Drop across a MOSFET that is on",
    formula="V = I · R on",
    given=OnMosfet,
    work=on_drop,
    inputs=(
        Input("amperes", "Current through it", "A"),
        Input("on_ohms", "Its ohms when on", "ohm", is_optional=True),
        Input("drop_volts", "Drop as read", "V", is_optional=True),
    ),
    outputs=(
        Output("volts", "Drop", "V"),
        Output("ohms", "Ohms when on", "ohm"),
        Output("watts", "Heat in it", "W"),
    ),
    serves=("k26", "k27", "k44"),
)
