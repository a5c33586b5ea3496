"""Whether ohms and a diode reading of the same net agree. PURE."""

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

HOLDS_UNDER_OHMS = 50.0  # above, junctions and not ohms make the reading (cp)
TEST_AMPERES = 0.001  # of a meter's diode mode (cp)
APART = 3.0  # times: one was taken in the wrong mode or place (jd)


@dataclass(frozen=True)
class DiodeCheck:
    """Ohms of the net, the diode reading of it, and what the meter feeds."""

    ohms: float
    diode_volts: float | None = None
    test_amperes: float = TEST_AMPERES
    resolution_volts: float = 0.001


@dataclass(frozen=True)
class DiodeExpected:
    """The diode reading that the ohms alone would give; ``None`` from 50 ohms up."""

    volts: float | None
    agrees: bool | None
    reasons: tuple[Reason, ...]


@calculation
def diode_check(given: DiodeCheck) -> DiodeExpected:
    """Below 50 ohms diode mode shows about 1 mA times the ohms.

    A meter's last digit is all that separates small readings, so neither is
    counted smaller than one digit.
    """
    not_below_nought(ohms=given.ohms, diode_volts=given.diode_volts)
    more_than_nought(
        test_amperes=given.test_amperes, resolution_volts=given.resolution_volts
    )
    if given.ohms >= HOLDS_UNDER_OHMS:
        said = reason("junctions_decide", ohms=given.ohms, limit_ohms=HOLDS_UNDER_OHMS)
        return DiodeExpected(None, None, (said,))
    volts = given.ohms * given.test_amperes
    if given.diode_volts is None:
        return DiodeExpected(volts, None, (reason("diode_expected", volts=volts),))
    least = given.resolution_volts
    small, large = sorted((max(volts, least), max(given.diode_volts, least)))
    agrees = large <= APART * small * (1 + 1e-9)
    code = "diode_agrees" if agrees else "diode_disagrees"
    values = {"volts": given.diode_volts, "expected_volts": volts}
    return DiodeExpected(volts, agrees, (reason(code, times=f"{APART:g}", **values),))


CALCULATOR = Calculator(
    id="diode_check",
    name="Diode mode against ohms",
    formula="below 50 Ω: V in diode mode ≈ 1 mA · R",
    given=DiodeCheck,
    work=diode_check,
    inputs=(
        Input("ohms", "Ohms of the net", "ohm"),
        Input("diode_volts", "Diode reading of the same net", "V", is_optional=True),
        Input("test_amperes", "Test current of the meter", "A", default="1 mA"),
        Input("resolution_volts", "Last digit of the meter", "V", default="1 mV"),
    ),
    outputs=(Output("volts", "Expected in diode mode", "V"),),
    serves=("k07", "k09", "k14", "k15", "k16", "k17"),
)
