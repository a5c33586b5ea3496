"""What the standby rails should draw from the supply. PURE."""

from dataclasses import dataclass

from diagnostics.engine.calculators.shape import (
    Calculator,
    CalculatorError,
    Input,
    Kind,
    Output,
    at_most,
    calculation,
    more_than_nought,
    not_below_nought,
)
from diagnostics.engine.reasons import Reason, reason

LEAK_OVER = 3.0  # times the budget (jd)


@dataclass(frozen=True)
class Standby:
    """Volts and amperes of each rail, efficiency as a fraction, and the supply."""

    rail_volts: tuple[float, ...]
    rail_amperes: tuple[float, ...]
    supply_volts: float
    quiescent_amperes: float = 0.0
    efficiency: float = 0.75
    measured_amperes: float | None = None


@dataclass(frozen=True)
class Budget:
    """Watts and amperes expected at the supply."""

    watts: float
    amperes: float
    reasons: tuple[Reason, ...]


@calculation
def budget(given: Standby) -> Budget:
    """P = sum(V I)/efficiency + quiescent; measured over three times it: a leak.

    Raises ``CalculatorError``: ``not_as_many`` (name).
    """
    _check(given)
    rails = zip(given.rail_volts, given.rail_amperes, strict=True)
    out = sum(volts * amperes for volts, amperes in rails)
    quiescent = given.quiescent_amperes * given.supply_volts
    watts = out / given.efficiency + quiescent
    amperes = watts / given.supply_volts
    return Budget(watts, amperes, _judged(given, amperes))


def _check(given: Standby) -> None:
    more_than_nought(supply_volts=given.supply_volts, efficiency=given.efficiency)
    at_most(1.0, "%", efficiency=given.efficiency)
    not_below_nought(quiescent_amperes=given.quiescent_amperes)
    if len(given.rail_volts) != len(given.rail_amperes):
        raise CalculatorError("not_as_many", name="rail_amperes")
    for name in ("rail_volts", "rail_amperes"):
        for value in getattr(given, name):
            not_below_nought(**{name: value})


def _judged(given: Standby, amperes: float) -> tuple[Reason, ...]:
    if given.measured_amperes is None:
        return ()
    code = "within_budget"
    if given.measured_amperes > LEAK_OVER * amperes:
        code = "over_budget"
    values = {"amps": given.measured_amperes, "budget_amps": amperes}
    return (reason(code, times=f"{LEAK_OVER:g}", **values),)


CALCULATOR = Calculator(
    id="standby",
    name="Standby budget",
    formula="P = Σ(V · I) ÷ η + quiescent,  I = P ÷ V of the supply",
    given=Standby,
    work=budget,
    inputs=(
        Input("rail_volts", "Volts of each rail", "V", Kind.MANY, default="3.3 V\n5 V"),
        Input(
            "rail_amperes",
            "Amperes of each rail",
            "A",
            Kind.MANY,
            help="As many lines, in the same order.",
        ),
        Input("efficiency", "Efficiency", "%", default="75 %", scale=0.01),
        Input("supply_volts", "Supply", "V"),
        Input("quiescent_amperes", "Quiescent, at the supply", "A", default="2 mA"),
        Input("measured_amperes", "Measured at the supply", "A", is_optional=True),
    ),
    outputs=(
        Output("amperes", "Expected at the supply", "A"),
        Output("watts", "Expected power", "W"),
    ),
    serves=("k24",),
)
