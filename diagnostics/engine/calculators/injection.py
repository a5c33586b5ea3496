"""Hunting a short by the drop along the copper, and the limits of injection. PURE.

Current goes in at one point of the rail and out at ground. Along the copper the
volts fall toward the short and stay flat behind it, so the point that reads lowest
lies nearest. On the ground side red stays where the current goes in and black
walks: ground is lifted most where the short lets the current in, so there too the
lowest reading lies nearest.
"""

from dataclasses import dataclass

from diagnostics.engine.calculators.copper import Copper, copper
from diagnostics.engine.calculators.injection_limits import (
    MOST_SECONDS,
    check_limits,
    most_amperes,
    most_volts,
)
from diagnostics.engine.calculators.shape import (
    CalculatorError,
    calculation,
    more_than_nought,
    not_below_nought,
)
from diagnostics.engine.reasons import Reason, reason

DIGITS_OF_GRADIENT = 3  # times the meter's resolution (jd)
READS_OVER = 1.05  # times the volts set: beyond it the reading is not of this (jd)


@dataclass(frozen=True)
class Injection:
    """One step of injecting into a rail, and the points read along it.

    ``last_amperes`` is what the step before was set to, ``None`` at first.
    ``points`` are volts to one ground; ``names`` theirs, as long or empty.
    ``high_side`` is what the board's own readings say of its high sides: "passed",
    "bad", or "open" where nothing settled says so.
    """

    nominal_volts: float
    set_volts: float
    set_amperes: float
    ohms: float
    last_amperes: float | None = None
    seconds: float = MOST_SECONDS
    board_kind: str = "thin"
    is_main: bool = False
    high_side: str = "open"
    is_pack_out: bool = False
    is_adapter_out: bool = False
    are_modules_out: bool = False
    resolution_volts: float = 0.001
    points: tuple[float, ...] = ()
    names: tuple[str, ...] = ()
    ground_points: tuple[float, ...] = ()
    ground_names: tuple[str, ...] = ()
    squares: float | None = None


@dataclass(frozen=True)
class Lowest:
    """The lowest of the points read: which, counted from 1, its name and volts."""

    number: int
    name: str
    volts: float
    gradient_volts: float
    is_clear: bool


@dataclass(frozen=True)
class Injected:
    """Amperes that flow, volts over the rail, watts in the short; the lowest point.

    ``lowest_volts`` is ``None`` while no points are read or none stands out.
    """

    amperes: float
    drop_volts: float
    watts: float
    most_volts: float
    most_amperes: float
    copper_volts: float | None
    lowest_volts: float | None
    gradient_volts: float | None
    lowest: Lowest | None
    ground: Lowest | None
    reasons: tuple[Reason, ...]


@calculation
def inject(given: Injection) -> Injected:
    """One step of current injection: refused beyond its limits, else judged.

    Raises ``CalculatorError`` for every limit of ``injection_limits.check_limits``, and
    ``drop_over_supply`` (name, volts) for a point above the volts set.
    """
    _check(given)
    amperes = _flowing(given)
    lowest = _lowest(given.points, given.names, given.resolution_volts)
    ground = _lowest(given.ground_points, given.ground_names, given.resolution_volts)
    is_clear = lowest is not None and lowest.is_clear
    return Injected(
        amperes=amperes,
        drop_volts=amperes * given.ohms,
        watts=amperes**2 * given.ohms,
        most_volts=most_volts(given.nominal_volts, given.last_amperes),
        most_amperes=most_amperes(given.board_kind, given.last_amperes),
        copper_volts=_copper_volts(given, amperes),
        lowest_volts=lowest.volts if lowest and is_clear else None,
        gradient_volts=lowest.gradient_volts if lowest else None,
        lowest=lowest,
        ground=ground,
        reasons=_reasons(given, amperes, lowest, ground),
    )


def _check(given: Injection) -> None:
    not_below_nought(ohms=given.ohms, squares=given.squares)
    more_than_nought(resolution_volts=given.resolution_volts)
    check_limits(
        nominal_volts=given.nominal_volts,
        set_volts=given.set_volts,
        set_amperes=given.set_amperes,
        last_amperes=given.last_amperes,
        seconds=given.seconds,
        board_kind=given.board_kind,
        is_main=given.is_main,
        high_side=given.high_side,
        out={
            name: getattr(given, name)
            for name in ("is_pack_out", "is_adapter_out", "are_modules_out")
        },
    )
    for name in ("points", "ground_points"):
        for volts in getattr(given, name):
            if abs(volts) > READS_OVER * given.set_volts:
                raise CalculatorError("drop_over_supply", name=name, volts=volts)


def _flowing(given: Injection) -> float:
    """The set amperes, or less where the set volts are reached first."""
    if given.ohms * given.set_amperes <= given.set_volts:
        return given.set_amperes
    return given.set_volts / given.ohms


def _copper_volts(given: Injection, amperes: float) -> float | None:
    if given.squares is None:
        return None
    return amperes * copper(Copper(given.squares)).ohms


def _lowest(
    points: tuple[float, ...], names: tuple[str, ...], resolution: float
) -> Lowest | None:
    """The lowest point; clear where the gradient and its lead can be told apart."""
    if len(points) < 2:
        return None
    at = min(range(len(points)), key=lambda index: points[index])
    second = min(points[:at] + points[at + 1 :])
    gradient = max(points) - points[at]
    tells = gradient >= _least(DIGITS_OF_GRADIENT, resolution)
    leads = second - points[at] >= _least(1, resolution)
    name = names[at] if names else ""
    return Lowest(at + 1, name, points[at], gradient, tells and leads)


def _reasons(
    given: Injection, amperes: float, lowest: Lowest | None, ground: Lowest | None
) -> tuple[Reason, ...]:
    said = []
    if amperes < given.set_amperes:
        said.append(reason("volts_reached_first", volts=given.set_volts, amps=amperes))
    if lowest is not None:
        said.append(_said_of("rail_lowest", lowest, given.resolution_volts))
    if ground is not None:
        said.append(_said_of("ground_lowest", ground, given.resolution_volts))
    if not given.points:
        said.append(reason("read_the_points"))
    elif lowest is None:
        said.append(reason("one_point_tells_nothing"))
    elif ground is None:
        said.append(reason("ground_side_next"))
    return tuple(said)


def _said_of(code: str, found: Lowest, resolution: float) -> Reason:
    """Which point is lowest, or why none stands out."""
    if found.gradient_volts < _least(DIGITS_OF_GRADIENT, resolution):
        return reason(
            "gradient_too_small",
            gradient_volts=found.gradient_volts,
            resolution_volts=resolution,
            digits=DIGITS_OF_GRADIENT,
        )
    return reason(
        code if found.is_clear else "lowest_is_tied",
        number=found.number,
        place=found.name,
        volts=found.volts,
    )


def _least(digits: int, resolution: float) -> float:
    """So many digits of the meter, less a float's dust."""
    return (digits - 1e-6) * resolution
