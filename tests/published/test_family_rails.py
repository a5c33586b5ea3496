"""The family's hard limits against the published limits of the same supplies.

Each row names its source. READ: the figure stands in a document that was read;
MEMORY: written down from memory, until someone reads the paper.
"""

import pytest

from diagnostics.engine.boards import Board, Patch, board_of, load_family

FAMILY = load_family("laptop_barrel")


def with_memory(kind: str) -> Board:
    return board_of(FAMILY, [Patch("variants.memory", kind)])


# memory, point, low, nominal, high, where it is published
MEMORY_RAILS = [
    ("ddr3l", "k45/mem.q", 1.283, 1.35, 1.45, "JESD79-3-1; AS4C512M16D3L T.20: READ"),
    ("ddr3", "k45/mem.q", 1.425, 1.5, 1.575, "JESD79-3: MEMORY"),
    ("ddr4", "k45/mem.q", 1.14, 1.20, 1.26, "JESD79-4: MEMORY"),
    ("ddr4", "k45/mem.pp", 2.375, 2.5, 2.75, "JESD79-4: MEMORY"),
    ("ddr5", "k45/mem.q", 1.067, 1.1, 1.166, "JESD79-5: MEMORY"),
    ("ddr5", "k45/mem.pp", 1.746, 1.8, 1.908, "JESD79-5: MEMORY"),
    ("ddr5", "k45/mem.bulk", 4.25, 5.0, 5.5, "DDR5 module input: MEMORY"),
    ("lpddr4x", "k45/mem.q2", 0.57, 0.6, 0.65, "JESD209-4-1 VDDQ: MEMORY"),
    ("lpddr4x", "k45/mem.q", 1.06, 1.1, 1.17, "JESD209-4 VDD2: MEMORY"),
    ("lpddr4x", "k45/mem.pp", 1.70, 1.8, 1.95, "JESD209-4 VDD1: MEMORY"),
    ("lpddr5", "k45/mem.q", 1.01, 1.05, 1.12, "JESD209-5 VDD2: MEMORY"),
]


@pytest.mark.parametrize(
    ("memory", "point_id", "low", "nominal", "high", "published"), MEMORY_RAILS
)
def test_memory_rails_keep_the_published_limits(
    memory: str, point_id: str, low: float, nominal: float, high: float, published: str
) -> None:
    board = with_memory(memory)
    yardstick = board.yardstick(point_id)
    assert yardstick is not None, published
    assert (yardstick.limit_low, yardstick.limit_high) == (low, high), published
    assert yardstick.limit_source.startswith("std: JEDEC")
    assert board.rail(point_id.removeprefix("k45/")).nominal == nominal


@pytest.mark.parametrize(
    ("memory", "half"), [("ddr3", 0.75), ("ddr3l", 0.675), ("ddr4", 0.6)]
)
def test_termination_is_half_of_the_memory_rail(memory: str, half: float) -> None:
    """VTT = 0.5 VDDQ: JESD79-3 and -4, AS4C512M16D3L Table 21: READ; +-5 % is cp."""
    board = with_memory(memory)
    supply, rail = board.rail("mem.q"), board.rail("mem.tt")
    assert supply.nominal is not None
    assert rail.nominal == pytest.approx(half)
    assert rail.nominal == pytest.approx(supply.nominal / 2)
    assert (rail.low, rail.high) == pytest.approx((0.95 * half, 1.05 * half))


@pytest.mark.parametrize("memory", ["ddr5", "lpddr4x", "lpddr5"])
def test_newer_memory_has_no_termination_rail(memory: str) -> None:
    assert not with_memory(memory).is_fitted("mem.tt")


def test_standby_5_v_keeps_the_usb_limits() -> None:
    """USB vSafe5V 4.75 to 5.50 V (USB PD and Type-C: READ2).

    A classic port ends at 5.25 V, which is the stricter of the two (MEMORY).
    """
    yardstick = board_of(FAMILY).yardstick("k32/sb.5")
    assert yardstick is not None
    assert yardstick.limit_low == 4.75
    assert yardstick.limit_high == 5.25
    assert yardstick.limit_high < 5.50
    assert yardstick.limit_source.startswith("std: USB")


@pytest.mark.parametrize(
    ("variant", "low", "high", "published"),
    [
        ("v33", 2.7, 3.6, "W25Q64JV datasheet: READ"),
        ("v18", 1.65, 1.95, "W25Q64FW datasheet: class READ, limits MEMORY"),
    ],
)
def test_the_flash_supply_keeps_the_datasheets_limits(
    variant: str, low: float, high: float, published: str
) -> None:
    board = board_of(FAMILY, [Patch("variants.flash", variant)])
    yardstick = board.yardstick("k40/flash.v")
    assert yardstick is not None, published
    assert (yardstick.limit_low, yardstick.limit_high) == (low, high), published


@pytest.mark.parametrize(("cells", "full"), [(2, 8.40), (3, 12.60), (4, 16.80)])
def test_main_of_a_narrow_board_ends_a_little_above_a_full_pack(
    cells: int, full: float
) -> None:
    """5.64  4.20 V a cell (MEMORY); such boards keep pack + 0.1 to 0.5 V (cp)."""
    option = {2: "two_cells", 3: "three_cells", 4: "four_cells"}[cells]
    main = board_of(FAMILY, [Patch("variants.main", option)]).rail("main")
    assert full == pytest.approx(4.20 * cells)
    assert main.high is not None
    assert full + 0.5 <= main.high <= full + 0.8
    assert main.low is not None
    assert main.low == pytest.approx(3.7 * cells, abs=0.15)


def test_a_coin_cell_is_a_3_v_cell_used_up_at_2_v() -> None:
    """IEC 60086-2 and makers: nominal 3.0 V, capacity given to 2.0 V: MEMORY."""
    rail = board_of(FAMILY).rail("rtc")
    assert (rail.nominal, rail.low) == (3.0, 2.0)


@pytest.mark.parametrize(
    ("rail", "states"),
    [
        ("rtc", {"G3", "S5", "S4", "S3", "S0"}),
        ("sb.33", {"S5", "S4", "S3", "S0"}),
        ("mem.q", {"S3", "S0"}),
        ("slp.5", {"S3", "S0"}),
        ("run.5", {"S0"}),
        ("cpu.core", {"S0"}),
    ],
)
def test_rails_are_up_in_the_states_that_acpi_gives_them(
    rail: str, states: set[str]
) -> None:
    """ACPI 6.x: G3 only the clock; S3 memory kept, other context lost: READ2."""
    assert set(board_of(FAMILY).rail(rail).up_in) == states


# --- USB-C: domain brief 2b, check values 5.43 to 5.51 ----------------------------

USBC = board_of(load_family("laptop_usbc"))
EXTENDED = board_of(load_family("laptop_usbc"), [Patch("variants.port", "extended")])


def limits_of(board: Board, point_id: str) -> tuple[float | None, float | None]:
    yardstick = board.yardstick(point_id)
    assert yardstick is not None
    return yardstick.limit_low, yardstick.limit_high


def usual_of(board: Board, point_id: str) -> tuple[float | None, float | None]:
    yardstick = board.yardstick(point_id)
    assert yardstick is not None
    return yardstick.usual_low, yardstick.usual_high


def test_bus_power_begins_where_vsafe5v_does() -> None:
    """5.43  vSafe5V 4.75 to 5.50 V (USB PD / Type-C: READ2); it ends at 20 V + 5 %."""
    low, high = limits_of(USBC, "k25/c.vbus")
    assert low == 4.75
    assert high == pytest.approx(1.05 * 20)
    assert limits_of(USBC, "k44/c.out") == (4.75, 5.50)


@pytest.mark.parametrize(
    ("nominal", "low", "high"),
    [(9, 8.55, 9.45), (15, 14.25, 15.75), (20, 19.0, 21.0)],
)
def test_every_fixed_contract_lies_inside_what_is_usual(
    nominal: float, low: float, high: float
) -> None:
    """5.45, 5.46  vSrcNew 0.95 to 1.05 x nominal (USB PD: READ2; NUM)."""
    assert (low, high) == pytest.approx((0.95 * nominal, 1.05 * nominal))
    usual_low, usual_high = usual_of(USBC, "k25/contract")
    assert usual_low is not None
    assert usual_high is not None
    assert usual_low <= low < high <= usual_high


def test_what_is_usual_after_the_negotiation_is_exactly_from_9_to_20_v() -> None:
    """5.46  8.55 V is 9 V less 5 %, 21.0 V is 20 V and 5 % more (READ2; NUM)."""
    assert usual_of(USBC, "k25/contract") == pytest.approx((0.95 * 9, 1.05 * 20))


def test_the_extended_range_ends_at_48_v() -> None:
    """5.47  28, 36, 48 V: 26.6 to 29.4, 34.2 to 37.8, 45.6 to 50.4 V (READ2; NUM)."""
    assert usual_of(EXTENDED, "k25/contract") == pytest.approx((0.95 * 9, 1.05 * 48))
    assert limits_of(EXTENDED, "k25/c.vbus")[1] == pytest.approx(50.4)


def test_5_v_is_outside_what_a_contract_reads() -> None:
    """5.46  5 V fixed is 4.75 to 5.25 V: below what any higher contract reads."""
    usual_low, _high = usual_of(USBC, "k25/contract")
    assert usual_low is not None
    assert usual_low > 1.05 * 5


@pytest.mark.parametrize("line", ["c.cc1", "c.cc2"])
def test_the_active_line_spans_the_three_offers(line: str) -> None:
    """5.49  0.25-0.61, 0.70-1.16, 1.31-2.04 V (USB Type-C, table 4-36: READ2)."""
    rail = USBC.rail(line)
    assert (rail.low, rail.high) == (0.25, 2.04)
    assert rail.is_commanded


@pytest.mark.parametrize("line", ["c.cc1", "c.cc2"])
def test_a_dead_battery_pull_down_is_5100_ohms(line: str) -> None:
    """5.51  Rd 5.1 kohm (USB Type-C: READ2); +-10 % for the parts without power."""
    ohms = USBC.rail(line).ohms
    assert ohms is not None
    assert ohms.ok_from == pytest.approx(0.9 * 5.1e3)
    assert ohms.ok_from < 5.1e3


# --- ATX: domain brief 2c, check values 5.35 to 5.39 -------------------------------

ATX = board_of(load_family("desktop_atx"))


@pytest.mark.parametrize(
    ("point_id", "low", "nominal", "high", "published"),
    [
        ("k44/atx.12", 11.40, 12.0, 12.60, "5.35 ATX12V guide 2.0, table 2: READ"),
        ("k44/atx.12cpu", 11.40, 12.0, 12.60, "5.35 the same: READ"),
        ("k44/atx.5", 4.75, 5.0, 5.25, "5.36 the same: READ"),
        ("k44/atx.33", 3.14, 3.3, 3.47, "5.37 the same, as printed: READ"),
        ("k44/atx.n12", -13.20, -12.0, -10.80, "5.38 ATX guide 0.9, table 3: READ"),
        ("k32/atx.5sb", 4.75, 5.0, 5.25, "5.39 both guides: READ"),
    ],
)
def test_the_supplys_rails_keep_the_guides_limits(
    point_id: str, low: float, nominal: float, high: float, published: str
) -> None:
    yardstick = ATX.yardstick(point_id)
    assert yardstick is not None, published
    assert (yardstick.limit_low, yardstick.limit_high) == (low, high), published
    assert yardstick.limit_source.startswith("std: ATX")
    assert ATX.rail(point_id.partition("/")[2]).nominal == nominal


@pytest.mark.parametrize(
    ("point_id", "limits", "published"),
    [
        ("k35/atx.on", (2.0, 5.25), "off: pulled to 2.0 V or more; ATX: MEMORY"),
        ("k43/atx.on", (None, 0.8), "on: 0.8 V or less; ATX: MEMORY"),
        ("k43/atx.ok", (2.4, 5.25), "good: above 2.4 V; ATX: MEMORY"),
    ],
)
def test_the_supplys_lines_keep_the_guides_levels(
    point_id: str, limits: tuple[float | None, float], published: str
) -> None:
    assert limits_of(ATX, point_id) == limits, published


@pytest.mark.parametrize(
    ("point_id", "nominal", "below", "above", "published"),
    [
        ("k47/slot.12", 12.0, 0.08, 0.05, "PCIe slot, 12 V +5 -8 %: MEMORY"),
        ("k47/slot.33", 3.3, 0.09, 0.09, "PCIe slot, 3.3 V +-9 %: MEMORY"),
    ],
)
def test_the_slots_supply_keeps_the_tolerances_of_pcie(
    point_id: str, nominal: float, below: float, above: float, published: str
) -> None:
    found = limits_of(ATX, point_id)
    expected = ((1 - below) * nominal, (1 + above) * nominal)
    assert found == pytest.approx(expected), published


def test_a_slot_may_get_less_than_the_supply_may_give() -> None:
    """The board's own drop lies between the two limits."""
    slot, supply = ATX.rail("slot.12"), ATX.rail("atx.12")
    assert slot.low < supply.low
    assert slot.high == supply.high


@pytest.mark.parametrize("memory", ["ddr3", "ddr3l", "ddr4", "ddr5"])
@pytest.mark.parametrize("family", ["laptop_usbc", "desktop_atx"])
def test_memory_is_the_same_in_every_family(family: str, memory: str) -> None:
    board = board_of(load_family(family), [Patch("variants.memory", memory)])
    for rail in ("mem.q", "mem.pp", "mem.tt"):
        first, other = with_memory(memory).rail(rail), board.rail(rail)
        assert (first.low, first.high) == (other.low, other.high)
        assert with_memory(memory).is_fitted(rail) is board.is_fitted(rail)


@pytest.mark.parametrize(
    ("rail", "states"),
    [
        ("atx.5sb", {"S5", "S4", "S3", "S0"}),
        ("atx.12", {"S0"}),
        ("atx.12cpu", {"S0"}),
        ("sb.33", {"S5", "S4", "S3", "S0"}),
        ("dual.5", {"S3", "S0"}),
        ("slot.12", {"S0"}),
    ],
)
def test_desktop_rails_are_up_in_the_states_that_acpi_gives_them(
    rail: str, states: set[str]
) -> None:
    """ACPI 6.x: S3 memory kept, other context lost: READ2."""
    assert set(ATX.rail(rail).up_in) == states
