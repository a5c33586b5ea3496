"""What a pack's own numbers say of it. PURE.

Fields by the Smart Battery Data Specification 1.1: FullChargeCapacity 0x10,
CycleCount 0x17, DesignCapacity 0x18 (in mAh or 10 mWh, as the pack counts).
"""

from dataclasses import dataclass

from diagnostics.engine.calculators.shape import (
    Calculator,
    Input,
    Kind,
    Output,
    calculation,
    more_than_nought,
    not_below_nought,
)
from diagnostics.engine.reasons import Reason, reason

GOOD_FROM = 80.0  # per cent of the design capacity (jd)
REPLACE_UNDER = 60.0  # per cent (jd)
SPREAD_GOOD_UNDER = 0.050  # volts between cells (jd)
SPREAD_REPLACE_OVER = 0.100  # volts (jd)
REVIVE_FROM = 2.5  # volts: below, a lithium cell is not revived (cp)


@dataclass(frozen=True)
class Pack:
    """Full and design capacity in one unit, cycles counted, volts of each cell."""

    full: float
    design: float
    cycles: float | None = None
    cell_volts: tuple[float, ...] = ()


@dataclass(frozen=True)
class PackHealth:
    """Per cent of the design capacity; spread between cells in volts."""

    percent: float
    spread_volts: float | None
    reasons: tuple[Reason, ...]


@calculation
def pack_health(given: Pack) -> PackHealth:
    """Full over design capacity, and the spread between the cells.

    >>> round(pack_health(Pack(38.4, 50.0)).percent, 1)
    76.8
    """
    more_than_nought(design=given.design)
    not_below_nought(full=given.full, cycles=given.cycles)
    for volts in given.cell_volts:
        not_below_nought(cell_volts=volts)
    percent = 100 * given.full / given.design
    cells = given.cell_volts
    spread = max(cells) - min(cells) if len(cells) > 1 else None
    said = [_of_capacity(percent)]
    if given.cycles is not None:
        said.append(reason("cycles_counted", cycles=f"{given.cycles:g}"))
    said += _of_cells(cells, spread)
    return PackHealth(percent, spread, tuple(said))


def _of_capacity(percent: float) -> Reason:
    if percent >= GOOD_FROM:
        return reason("capacity_good", limit_percent=GOOD_FROM)
    if percent < REPLACE_UNDER:
        return reason("capacity_replace", limit_percent=REPLACE_UNDER)
    return reason("capacity_watch", low_percent=REPLACE_UNDER, high_percent=GOOD_FROM)


def _of_cells(cells: tuple[float, ...], spread: float | None) -> list[Reason]:
    said = [
        reason("cell_too_low", number=number, volts=volts, limit_volts=REVIVE_FROM)
        for number, volts in enumerate(cells, start=1)
        if volts < REVIVE_FROM
    ]
    if spread is None:
        return said
    if spread < SPREAD_GOOD_UNDER:
        return [*said, reason("cells_alike", limit_volts=SPREAD_GOOD_UNDER)]
    if spread > SPREAD_REPLACE_OVER:
        return [*said, reason("cells_apart", limit_volts=SPREAD_REPLACE_OVER)]
    return [*said, reason("cells_watch", limit_volts=SPREAD_GOOD_UNDER)]


CALCULATOR = Calculator(
    id="pack",
    name="Pack health",
    formula="health = full charge capacity ÷ design capacity",
    given=Pack,
    work=pack_health,
    inputs=(
        Input("full", "Full charge capacity (0x10)", "Wh", also="Ah"),
        Input("design", "Design capacity (0x18)", "Wh", also="Ah"),
        Input("cycles", "Cycle count (0x17)", is_optional=True),
        Input(
            "cell_volts",
            "Volts of each cell",
            "V",
            Kind.MANY,
            is_optional=True,
            help="One a line.",
        ),
    ),
    outputs=(
        Output("percent", "Health", "%", reads=("k56",)),
        Output("spread_volts", "Spread between cells", "V", reads=("k56",)),
    ),
    serves=("k56",),
    cautions=("lithium",),
)
