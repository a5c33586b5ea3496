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
