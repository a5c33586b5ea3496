"""Ohms too low to read as they stand: less the leads, or by four wires. PURE."""

from dataclasses import dataclass

from diagnostics.engine.calculators.shape import (
    Calculator,
    CalculatorError,
    Input,
    Output,
    calculation,
    more_than_nought,
    needed,
    not_below_nought,
)
from diagnostics.engine.reasons import Reason, reason

LEAD_SPREAD_OHMS = 0.05  # how much leads vary from touch to touch (jd)
SPREADS_THAT_TELL = 2  # less than two spreads is no result (jd)


@dataclass(frozen=True)
class LowOhms:
    """Two wires: the meter's ohms and the leads'. Four: amperes and the drop."""

    shown_ohms: float | None = None
    leads_ohms: float | None = None
    spread_ohms: float = LEAD_SPREAD_OHMS
    amperes: float | None = None
    drop_volts: float | None = None


@dataclass(frozen=True)
class LowOhmsFound:
    """Ohms of the part alone, or ``None`` where the leads hide them."""

    ohms: float | None
    is_four_wire: bool
    reasons: tuple[Reason, ...]


@calculation
def low_ohms(given: LowOhms) -> LowOhmsFound:
    """R = shown - leads, none below two lead spreads; by four wires R = V/I.

    Raises ``CalculatorError``: ``is_needed`` (name), ``two_ways_at_once``.

    >>> low_ohms(LowOhms(amperes=1.0, drop_volts=0.0032)).ohms
    0.0032
    """
    is_four = given.amperes is not None or given.drop_volts is not None
    if is_four and given.shown_ohms is not None:
        raise CalculatorError("two_ways_at_once", name="shown_ohms")
    return _by_four(given) if is_four else _by_two(given)


def _by_four(given: LowOhms) -> LowOhmsFound:
    needed(amperes=given.amperes, drop_volts=given.drop_volts)
    more_than_nought(amperes=given.amperes)
    not_below_nought(drop_volts=given.drop_volts)
    ohms = (given.drop_volts or 0.0) / (given.amperes or 1.0)
    return LowOhmsFound(ohms, True, (reason("by_four_wires"),))


def _by_two(given: LowOhms) -> LowOhmsFound:
    needed(shown_ohms=given.shown_ohms, leads_ohms=given.leads_ohms)
    not_below_nought(shown_ohms=given.shown_ohms, leads_ohms=given.leads_ohms)
    more_than_nought(spread_ohms=given.spread_ohms)
    net = max(0.0, (given.shown_ohms or 0.0) - (given.leads_ohms or 0.0))
    least = SPREADS_THAT_TELL * given.spread_ohms
    if net < least * (1 - 1e-9):
        hidden = reason("leads_hide_it", ohms=net, least_ohms=least)
        return LowOhmsFound(None, False, (hidden,))
    said = reason("less_the_leads", leads_ohms=given.leads_ohms)
    return LowOhmsFound(net, False, (said,))


CALCULATOR = Calculator(
    id="low_ohms",
    name="Low ohms",
    formula="R = shown − leads;  by four wires R = V ÷ I",
    given=LowOhms,
    work=low_ohms,
    inputs=(
        Input("shown_ohms", "Shown by the meter, two wires", "ohm", is_optional=True),
        Input("leads_ohms", "Leads held together", "ohm", is_optional=True),
        Input("spread_ohms", "How much the leads vary", "ohm", default="0.05 Ω"),
        Input("amperes", "Four wires: current set", "A", is_optional=True),
        Input("drop_volts", "Four wires: drop at the part", "V", is_optional=True),
    ),
    outputs=(
        Output(
            "ohms",
            "Resistance",
            "ohm",
            reads=("k14", "k15", "k16", "k17", "k21", "k22", "k62"),
        ),
    ),
    serves=("k14", "k15", "k16", "k17", "k21", "k22", "k62"),
)
