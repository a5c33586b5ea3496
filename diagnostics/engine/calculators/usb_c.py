"""What a USB-C source offers, by the volts on its configuration line. PURE.

Bands of a sink with 5.1 kilohm, thresholds, and pull-ups to 5 V: USB Type-C
specification, tables 4-24, 4-25 and 4-36 as quoted (std: USB Type-C).
"""

from dataclasses import dataclass

from diagnostics.engine.calculators.shape import (
    Calculator,
    CalculatorError,
    Input,
    Output,
    calculation,
    more_than_nought,
)
from diagnostics.engine.reasons import Reason, reason

PULL_DOWN_OHMS = 5.1e3  # Rd (std: USB Type-C)
CONNECTED_FROM = 0.2  # volts; below, nothing pulls the line up (std: USB Type-C)
# Volts that a sink sees: code, band, and where the next offer begins.
BANDS = (
    ("cc_default", 0.25, 0.61, 0.66),
    ("cc_1_5_amperes", 0.70, 1.16, 1.23),
    ("cc_3_amperes", 1.31, 2.04, 2.04),
)
OFFER_AMPERES = {"cc_default": 0.5, "cc_1_5_amperes": 1.5, "cc_3_amperes": 3.0}


@dataclass(frozen=True)
class CcLine:
    """Volts read on both lines; or the source's pull-up, to reckon them."""

    cc_volts: float | None = None
    other_volts: float | None = None
    pull_up_ohms: float | None = None
    pull_up_volts: float = 5.0
    pull_down_ohms: float = PULL_DOWN_OHMS


@dataclass(frozen=True)
class CcOffer:
    """Volts of the active line, and the amperes at 5 V that the source offers."""

    volts: float
    amperes: float | None
    code: str
    reasons: tuple[Reason, ...]


@calculation
def cc_offer(given: CcLine) -> CcOffer:
    """The offer by the band that the volts lie in.

    Raises ``CalculatorError``: ``is_needed`` (name), ``two_ways_at_once`` (name).
    """
    volts = _volts(given)
    code, is_inside = _band(volts)
    said = [reason(code, volts=volts)]
    if not is_inside:
        said.append(reason("cc_off_band"))
    if given.other_volts is not None and given.other_volts >= CONNECTED_FROM:
        said.append(reason("cc_other_up", volts=given.other_volts))
    return CcOffer(volts, OFFER_AMPERES.get(code), code, tuple(said))


def _volts(given: CcLine) -> float:
    if given.cc_volts is not None and given.pull_up_ohms is not None:
        raise CalculatorError("two_ways_at_once", name="pull_up_ohms")
    if given.cc_volts is not None:
        return given.cc_volts
    if given.pull_up_ohms is None:
        raise CalculatorError("is_needed", name="cc_volts")
    more_than_nought(
        pull_up_ohms=given.pull_up_ohms,
        pull_up_volts=given.pull_up_volts,
        pull_down_ohms=given.pull_down_ohms,
    )
    both = given.pull_up_ohms + given.pull_down_ohms
    return given.pull_up_volts * given.pull_down_ohms / both


def _band(volts: float) -> tuple[str, bool]:
    """The code of the offer, and whether the volts lie inside its band."""
    if volts < CONNECTED_FROM:
        return "cc_nothing", True
    for code, low, high, until in BANDS:
        if volts <= until:
            return code, low <= volts <= high
    return "cc_too_high", True


CALCULATOR = Calculator(
    id="usb_c",
    name="USB-C line",
    formula="V = V pull-up · 5.1 kΩ ÷ (R pull-up + 5.1 kΩ)",
    given=CcLine,
    work=cc_offer,
    inputs=(
        Input("cc_volts", "Volts on the active line", "V", is_optional=True),
        Input("other_volts", "Volts on the other line", "V", is_optional=True),
        Input(
            "pull_up_ohms",
            "Or: the source’s pull-up",
            "ohm",
            is_optional=True,
            help="56, 22 or 10 kΩ to 5 V.",
        ),
        Input("pull_up_volts", "Pulled up to", "V", default="5 V"),
        Input("pull_down_ohms", "Our pull-down", "ohm", default="5.1 kΩ"),
    ),
    outputs=(
        Output("amperes", "Offered at 5 V", "A"),
        Output("volts", "Active line", "V"),
    ),
    serves=("k09", "k25"),
)
