"""All calculators as data, in the order of the domain brief's section 7. PURE."""

from collections.abc import Mapping

from diagnostics.engine.calculators import (
    bucks,
    budgets,
    diode_checks,
    discharges,
    dividers,
    injection_inputs,
    low_ohms,
    markings,
    mosfet_drops,
    packs,
    phases,
    sensing,
    thermal,
    usb_c,
)
from diagnostics.engine.calculators.shape import Calculator

CALCULATORS: Mapping[str, Calculator] = {
    one.id: one
    for one in (
        dividers.CALCULATOR,
        markings.CALCULATOR,
        sensing.CALCULATOR,
        bucks.CALCULATOR,
        injection_inputs.CALCULATOR,
        low_ohms.CALCULATOR,
        phases.CALCULATOR,
        budgets.CALCULATOR,
        discharges.CALCULATOR,
        packs.CALCULATOR,
        thermal.CALCULATOR,
        usb_c.CALCULATOR,
        mosfet_drops.CALCULATOR,
        diode_checks.CALCULATOR,
    )
}


def serving(check_id: str) -> tuple[Calculator, ...]:
    """The calculators that help with a check, in their own order."""
    return tuple(one for one in CALCULATORS.values() if check_id in one.serves)
