"""The MOSFET test's diode range against the physics of a junction.

Loose ranges of diode-mode readings: silicon 0.5 to 0.7 V, a MOSFET's body diode 0.4
to 0.8 V, up to 1.0 to 1.3 V at rated current (data sheets, from MEMORY). The ideal
diode law (Shockley 1949): volts fall by kT/q ln 10 a decade of current; k and q are
exact in the SI (BIPM, 9th edition, table 1).
"""

from math import log

import pytest

from diagnostics.engine.guided import Answer, Said
from diagnostics.engine.mosfet_hand import (
    DIODE_FROM,
    DIODE_TO,
    Across,
    across,
)

BOLTZMANN = 1.380649e-23
CHARGE = 1.602176634e-19
ROOM = 298.15  # kelvin
TEST_CURRENT = 1e-3


def volts_at_test_current(rated_volts: float, rated_amps: float) -> float:
    """The drop at diode mode's current, from one at rated current, no series ohms."""
    volts_per_e = BOLTZMANN * ROOM / CHARGE
    return rated_volts - volts_per_e * log(rated_amps / TEST_CURRENT)


@pytest.mark.parametrize("volts", [0.5, 0.6, 0.7])
def test_silicon_is_a_diode(volts: float) -> None:
    assert across(Answer(Said.VALUE, volts, "V"), TEST_CURRENT) is Across.DIODE


@pytest.mark.parametrize(
    ("rated_volts", "rated_amps"),
    [(0.8, 1.0), (0.8, 20.0), (0.9, 20.0), (1.0, 20.0), (1.0, 50.0)],
)
def test_a_body_diode_at_test_current_lies_in_the_range(
    rated_volts: float, rated_amps: float
) -> None:
    assert DIODE_FROM <= volts_at_test_current(rated_volts, rated_amps) <= DIODE_TO


def test_a_decade_of_current_is_sixty_millivolts() -> None:
    decade = volts_at_test_current(0.7, 1e-3) - volts_at_test_current(0.7, 1e-2)
    assert decade == pytest.approx(0.0592, abs=5e-5)


def test_no_junction_reads_as_a_short() -> None:
    """The lowest Schottky reading of the loose ranges, 0.15 V (MEMORY)."""
    schottky = Answer(Said.VALUE, 0.15, "V")
    assert across(schottky, TEST_CURRENT) is Across.LOW
