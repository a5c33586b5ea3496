"""What a converter's feedback divider sets, and which reference fits. PURE."""

from dataclasses import dataclass

from diagnostics.engine.calculators.shape import (
    Calculator,
    Input,
    Kind,
    Output,
    at_most,
    calculation,
    more_than_nought,
    not_below_nought,
)
from diagnostics.engine.reasons import Reason, reason

REFERENCES_SEEN = (0.5, 0.6, 0.7, 0.75, 0.8, 1.0, 2.0)  # volts, in converters (cp)
LANDS_WITHIN = 0.03  # of a known rail (jd)
MOST_TOLERANCE = 0.5  # beyond it a tolerance says nothing (jd)


@dataclass(frozen=True)
class Divider:
    """Ohms above and below; the reference in volts, or ``None`` to try the usual.

    Tolerances are fractions; ``rail_volts`` are the board's known rails.
    """

    top_ohms: float
    bottom_ohms: float
    reference_volts: float | None = None
    resistor_tolerance: float = 0.0
    reference_tolerance: float = 0.0
    rail_volts: tuple[float, ...] = ()
    is_read_in_circuit: bool = False


@dataclass(frozen=True)
class Landing:
    """A reference, its output, and the known rail it lands on if any."""

    reference_volts: float
    volts: float
    rail_volts: float | None


@dataclass(frozen=True)
class DividerOutput:
    """Output volts and their corners; with no reference given, those of the one
    usual reference that lands on a rail, else ``None``. ``landings`` are all.
    """

    volts: float | None
    low: float | None
    high: float | None
    landings: tuple[Landing, ...]
    reasons: tuple[Reason, ...]


@calculation
def divider(given: Divider) -> DividerOutput:
    """V = Vref (1 + Rtop/Rbottom); corners of both tolerances.

    >>> round(divider(Divider(10e3, 10e3, 0.6)).volts, 3)
    1.2
    """
    _check(given)
    tried: tuple[float, ...] = REFERENCES_SEEN
    if given.reference_volts is not None:
        tried = (given.reference_volts,)
    landings = tuple(_landing(given, reference) for reference in tried)
    chosen = _chosen(landings)
    low, high = _corners(given, chosen) if chosen else (None, None)
    volts = chosen.volts if chosen else None
    return DividerOutput(volts, low, high, landings, _reasons(given, landings))


def _check(given: Divider) -> None:
    not_below_nought(
        top_ohms=given.top_ohms,
        resistor_tolerance=given.resistor_tolerance,
        reference_tolerance=given.reference_tolerance,
    )
    more_than_nought(
        bottom_ohms=given.bottom_ohms, reference_volts=given.reference_volts
    )
    for name in ("resistor_tolerance", "reference_tolerance"):
        at_most(MOST_TOLERANCE, "%", **{name: getattr(given, name)})


def _landing(given: Divider, reference: float) -> Landing:
    volts = reference * (1 + given.top_ohms / given.bottom_ohms)
    near = [r for r in given.rail_volts if abs(volts - r) <= LANDS_WITHIN * abs(r)]
    rail = min(near, key=lambda one: abs(volts - one), default=None)
    return Landing(reference, volts, rail)


def _chosen(landings: tuple[Landing, ...]) -> Landing | None:
    """The only one tried, or the only one that lands on a rail."""
    if len(landings) == 1:
        return landings[0]
    landed = [one for one in landings if one.rail_volts is not None]
    return landed[0] if len(landed) == 1 else None


def _corners(given: Divider, chosen: Landing) -> tuple[float, float]:
    ratio = given.top_ohms / given.bottom_ohms
    t, r = given.resistor_tolerance, given.reference_tolerance
    lowest = chosen.reference_volts * (1 - r) * (1 + ratio * (1 - t) / (1 + t))
    highest = chosen.reference_volts * (1 + r) * (1 + ratio * (1 + t) / (1 - t))
    return lowest, highest


def _reasons(given: Divider, landings: tuple[Landing, ...]) -> tuple[Reason, ...]:
    landed = [one for one in landings if one.rail_volts is not None]
    others = [one for one in landings if one.rail_volts is None]
    said = [
        reason(
            "reference_lands",
            reference_volts=one.reference_volts,
            output_volts=one.volts,
            rail_volts=one.rail_volts,
            limit_percent=LANDS_WITHIN * 100,
        )
        for one in landed
    ]
    if given.rail_volts and not landed:
        said.append(reason("no_reference_lands", limit_percent=LANDS_WITHIN * 100))
    if len(landings) > 1:
        said += [
            reason(
                "reference_gives",
                reference_volts=one.reference_volts,
                output_volts=one.volts,
            )
            for one in others
        ]
    if given.is_read_in_circuit:
        said.append(reason("resistors_in_circuit"))
    return tuple(said)


CALCULATOR = Calculator(
    id="divider",
    name="Feedback divider",
    formula="V = Vref · (1 + R above ÷ R below)",
    given=Divider,
    work=divider,
    inputs=(
        Input("top_ohms", "Resistor above, to the output", "ohm"),
        Input("bottom_ohms", "Resistor below, to ground", "ohm"),
        Input(
            "reference_volts",
            "Reference",
            "V",
            is_optional=True,
            help="Left empty, the usual references are tried.",
        ),
        Input(
            "resistor_tolerance",
            "Tolerance of the resistors",
            "%",
            default="1 %",
            scale=0.01,
        ),
        Input(
            "reference_tolerance",
            "Tolerance of the reference",
            "%",
            default="1 %",
            scale=0.01,
        ),
        Input(
            "rail_volts",
            "Known rails",
            "V",
            Kind.MANY,
            is_optional=True,
            help="One a line, or with semicolons.",
        ),
        Input("is_read_in_circuit", "Resistors were read in circuit", kind=Kind.TICK),
    ),
    outputs=(
        Output("volts", "Output", "V"),
        Output("low", "Lowest by tolerances", "V"),
        Output("high", "Highest by tolerances", "V"),
    ),
    serves=("k28", "k32", "k44", "k45", "k46"),
)
