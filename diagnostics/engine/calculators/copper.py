"""Ohms of a copper trace or plane. PURE."""

from dataclasses import dataclass

from diagnostics.engine.calculators.shape import (
    calculation,
    more_than_nought,
    not_below_nought,
)
from diagnostics.engine.reasons import Reason

COPPER_20C = 1.724138e-8  # ohm metre, 100 % IACS (std: IEC 60028)
COPPER_PER_KELVIN = 0.00393  # at 20 degrees C (std: IEC 60028)
USUAL_METRES = 35e-6  # an ounce a square foot (cp)


@dataclass(frozen=True)
class Copper:
    """Squares in a row (length by width), thickness in metres, degrees C."""

    squares: float
    metres_thick: float = USUAL_METRES
    celsius: float = 20.0


@dataclass(frozen=True)
class CopperOhms:
    ohms: float
    reasons: tuple[Reason, ...] = ()


@calculation
def copper(given: Copper) -> CopperOhms:
    """R = rho/t a square (IEC 60028: 100 % IACS, 0.00393 a kelvin at 20 C).

    >>> round(copper(Copper(1)).ohms * 1e3, 4)
    0.4926
    """
    not_below_nought(squares=given.squares)
    more_than_nought(metres_thick=given.metres_thick)
    at_20 = COPPER_20C * given.squares / given.metres_thick
    return CopperOhms(at_20 * (1 + COPPER_PER_KELVIN * (given.celsius - 20)))
