"""How warm something gets: by its heat, or by its own copper. PURE."""

from dataclasses import dataclass

from diagnostics.engine.calculators.copper import COPPER_PER_KELVIN
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

COLDEST = 20 - 1 / COPPER_PER_KELVIN  # degrees C at which the line meets nought ohms


@dataclass(frozen=True)
class Warming:
    """Watts and kelvins a watt; or a copper part's ohms, cold and warm.

    ``cold_celsius`` is how warm the part was when its cold ohms were read.
    """

    watts: float | None = None
    kelvin_per_watt: float | None = None
    cold_ohms: float | None = None
    warm_ohms: float | None = None
    cold_celsius: float = 25.0


@dataclass(frozen=True)
class Rise:
    """Kelvins by heat and by ohms, ``None`` where that was not asked."""

    by_heat_kelvin: float | None
    by_ohms_kelvin: float | None
    reasons: tuple[Reason, ...]


@calculation
def thermal_rise(given: Warming) -> Rise:
    """dT = P Rth; of copper dT = (R/R0 - 1) (1/0.00393 + T0 - 20), IEC 60028.

    Raises ``CalculatorError``: ``nothing_to_reckon``, ``is_needed`` (name),
    ``colder_than_copper_goes`` (name).
    """
    by_heat, by_ohms = _by_heat(given), _by_ohms(given)
    if by_heat is None and by_ohms is None:
        raise CalculatorError("nothing_to_reckon", name="watts")
    said = []
    if by_ohms is not None:
        said.append(reason("rise_by_ohms", percent=_growth(given) * 100))
    if by_heat is not None:
        said.append(reason("rise_is_expected"))
    return Rise(by_heat, by_ohms, tuple(said))


def _by_heat(given: Warming) -> float | None:
    if given.watts is None and given.kelvin_per_watt is None:
        return None
    needed(watts=given.watts, kelvin_per_watt=given.kelvin_per_watt)
    not_below_nought(watts=given.watts, kelvin_per_watt=given.kelvin_per_watt)
    return (given.watts or 0.0) * (given.kelvin_per_watt or 0.0)


def _by_ohms(given: Warming) -> float | None:
    if given.cold_ohms is None and given.warm_ohms is None:
        return None
    needed(cold_ohms=given.cold_ohms, warm_ohms=given.warm_ohms)
    more_than_nought(cold_ohms=given.cold_ohms, warm_ohms=given.warm_ohms)
    if given.cold_celsius <= COLDEST:
        raise CalculatorError("colder_than_copper_goes", name="cold_celsius")
    return _growth(given) * (given.cold_celsius - COLDEST)


def _growth(given: Warming) -> float:
    return (given.warm_ohms or 0.0) / (given.cold_ohms or 1.0) - 1


CALCULATOR = Calculator(
    id="thermal",
    name="Thermal rise",
    formula="ΔT = P · Rθ;  copper ΔT = (R warm ÷ R cold − 1) ÷ 0.0039",
    given=Warming,
    work=thermal_rise,
    inputs=(
        Input("cold_ohms", "Copper cold", "ohm", is_optional=True),
        Input("warm_ohms", "The same warm", "ohm", is_optional=True),
        Input("cold_celsius", "How warm it was cold", "K", default="25 °C", mark="°C"),
        Input("watts", "Heat", "W", is_optional=True),
        Input(
            "kelvin_per_watt",
            "Thermal resistance",
            is_optional=True,
            mark="K/W",
        ),
    ),
    outputs=(
        Output("by_ohms_kelvin", "Rise by its ohms", "K", reads=("k52", "k54")),
        Output("by_heat_kelvin", "Rise by its heat", "K"),
    ),
    serves=("k52", "k54"),
)
