"""Supply rails just inside and just outside published limits (check-values 5.3).

READ: read in the source; READ2: read where somebody quotes it; MEMORY: from
memory until someone reads the source. The judge gets the limits alone, and a
meter good to a thousandth of their width.
"""

import pytest

from diagnostics.engine.quantities import Outcome
from diagnostics.engine.verdicts import Observed, Word, Yardstick, judge, p_inside

ATX_GUIDE = "Intel ATX12V Power Supply Design Guide 2.0, Table 2 (READ)"
ATX_OLD = "Intel ATX Design Guide 0.9, Table 3 (READ)"
USB_PD = "USB PD R3.2, vSrcNew 0.95 to 1.05 (READ2)"
USB_C = "USB Type-C, Table 4-36 as quoted (READ2)"
DDR3L = "JESD79-3-1 as in a DDR3L data sheet, Table 20 (READ)"

LIMITS = [
    (11.40, 12.60, "5.35 ATX +12 V", ATX_GUIDE),
    (4.75, 5.25, "5.36 ATX +5 V", ATX_GUIDE),
    (3.14, 3.47, "5.37 ATX +3.3 V", ATX_GUIDE),
    (-13.20, -10.80, "5.38 ATX -12 V", ATX_OLD),
    (4.75, 5.25, "5.39 ATX +5VSB", ATX_GUIDE),
    (-5.50, -4.50, "5.40 ATX -5 V", ATX_OLD),
    (4.75, 5.50, "5.43 USB vSafe5V", "USB PD and Type-C (READ2)"),
    (0.0, 0.8, "5.44 USB vSafe0V", "USB PD (MEMORY)"),
    (4.75, 5.25, "5.46 USB PD 5 V", USB_PD),
    (8.55, 9.45, "5.46 USB PD 9 V", USB_PD),
    (14.25, 15.75, "5.46 USB PD 15 V", USB_PD),
    (19.0, 21.0, "5.46 USB PD 20 V", USB_PD),
    (26.6, 29.4, "5.47 USB PD 28 V", "USB PD R3.1 (READ2)"),
    (34.2, 37.8, "5.47 USB PD 36 V", "USB PD R3.1 (READ2)"),
    (45.6, 50.4, "5.47 USB PD 48 V", "USB PD R3.1 (READ2)"),
    (0.25, 0.61, "5.49 CC, default current", USB_C),
    (0.70, 1.16, "5.49 CC, 1.5 A", USB_C),
    (1.31, 2.04, "5.49 CC, 3.0 A", USB_C),
    (1.283, 1.45, "5.52 DDR3L VDD", DDR3L),
    (1.425, 1.575, "5.53 DDR3 VDD", "JESD79-3 (MEMORY)"),
    (0.6615, 0.6885, "5.54 DDR3L V_REF at 1.35 V", "same data sheet (READ)"),
    (1.14, 1.26, "5.56 DDR4 VDD", "JESD79-4 (MEMORY)"),
    (2.375, 2.75, "5.57 DDR4 VPP", "JESD79-4 (MEMORY, sources disagree)"),
    (1.067, 1.166, "5.58 DDR5 VDD", "JESD79-5 (MEMORY)"),
    (1.746, 1.908, "5.58 DDR5 VPP", "JESD79-5 (MEMORY)"),
    (0.57, 0.65, "5.59 LPDDR4X VDDQ", "JESD209-4-1 (MEMORY)"),
    (1.06, 1.17, "5.59 LPDDR4 VDD2", "JESD209-4 (MEMORY)"),
    (1.70, 1.95, "5.59 LPDDR4 VDD1", "JESD209-4 (MEMORY)"),
    (3.0, 3.6, "5.60 LVCMOS 3.3 V supply", "JESD8C.01 (MEMORY)"),
    (2.7, 3.6, "5.61 SPI NOR, 3 V class", "W25Q64JV data sheet (READ)"),
    (1.65, 1.95, "5.62 SPI NOR, 1.8 V class", "W25Q64FW data sheet (MEMORY)"),
]
ROWS = pytest.mark.parametrize(
    ("low", "high", "source"),
    [pytest.param(low, high, source, id=rail) for low, high, rail, source in LIMITS],
)


def word_of(volts: float, low: float, high: float, source: str, u: float) -> Word:
    yardstick = Yardstick("V", limit_low=low, limit_high=high, limit_source=source)
    verdict = judge(Observed(Outcome.VALUE, volts, u, "V"), yardstick)
    if verdict.word is not Word.UNCLEAR:
        assert verdict.reasons[0].values["source"] == source
    return verdict.word


@ROWS
def test_just_inside_is_good_and_just_outside_bad(
    low: float, high: float, source: str
) -> None:
    u = (high - low) / 1000
    for limit, outwards in ((low, -1), (high, 1)):
        inside = word_of(limit - 2 * outwards * u, low, high, source, u)
        on_it = word_of(limit, low, high, source, u)
        outside = word_of(limit + 2 * outwards * u, low, high, source, u)
        assert (inside, on_it, outside) == (Word.GOOD, Word.UNCLEAR, Word.BAD)


@ROWS
def test_the_middle_is_good_and_a_rail_at_nought_is_not(
    low: float, high: float, source: str
) -> None:
    u = (high - low) / 1000
    assert word_of((low + high) / 2, low, high, source, u) is Word.GOOD
    if low > 0 or high < 0:
        assert word_of(0.0, low, high, source, u) is Word.BAD


@pytest.mark.parametrize(
    ("volts", "word"), [(5.30, Word.BAD), (5.20, Word.GOOD), (4.70, Word.BAD)]
)
def test_the_usb_source_band_is_narrower_than_the_port_band(
    volts: float, word: Word
) -> None:
    """5.43 against 5.46: 5.30 V is no good as a source, yet fine at a port."""
    assert word_of(volts, 4.75, 5.25, USB_PD, 0.01) is word
    at_port = p_inside(volts, 0.01, 4.75, 5.50)
    assert (at_port > 0.95) is (volts > 4.75)


@pytest.mark.parametrize(
    ("volts", "offer"), [(330e-6 * 5.1e3, "3.0 A"), (5 * 5.1 / (5.1 + 10), "3.0 A")]
)
def test_a_configuration_line_names_one_offer(volts: float, offer: str) -> None:
    """5.50  330 µA into 5.1 kΩ, and 10 kΩ over 5.1 kΩ at 5 V: both 3 A (READ2)."""
    bands = {"default": (0.25, 0.61), "1.5 A": (0.70, 1.16), "3.0 A": (1.31, 2.04)}
    good = [
        name
        for name, (low, high) in bands.items()
        if word_of(volts, low, high, USB_C, 0.005) is Word.GOOD
    ]
    assert good == [offer]


@pytest.mark.parametrize(
    ("nominal", "low", "high"),
    [
        (5, 4.75, 5.25),
        (9, 8.55, 9.45),
        (15, 14.25, 15.75),
        (20, 19.0, 21.0),
        (28, 26.6, 29.4),
        (36, 34.2, 37.8),
        (48, 45.6, 50.4),
    ],
)
def test_a_power_delivery_band_is_five_per_cent_either_way(
    nominal: float, low: float, high: float
) -> None:
    """5.45  vSrcNew (READ2): a source just within is good, 0.1 % beyond is bad."""
    for factor, limit in ((0.95, low), (1.05, high)):
        assert factor * nominal == pytest.approx(limit)
        outwards = 1 if factor > 1 else -1
        u = nominal / 5000
        beyond = word_of(limit + 2 * outwards * u, low, high, USB_PD, u)
        within = word_of(limit - 2 * outwards * u, low, high, USB_PD, u)
        assert (within, beyond) == (Word.GOOD, Word.BAD)


@pytest.mark.parametrize(
    ("volts", "is_high", "is_low"),
    [(0.4, False, True), (1.4, False, False), (2.4, True, False), (3.3, True, False)],
)
def test_a_logic_level_between_the_thresholds_is_neither(
    volts: float, is_high: bool, is_low: bool
) -> None:
    """5.60  V_IH 2.0 V, V_IL 0.8 V: JESD8C.01 (MEMORY)."""
    seen = Observed(Outcome.VALUE, volts, 0.01, "V")
    high = judge(seen, Yardstick("V", limit_low=2.0)).word
    low = judge(seen, Yardstick("V", limit_high=0.8)).word
    assert (high is Word.GOOD, low is Word.GOOD) == (is_high, is_low)
    assert (high is Word.BAD, low is Word.BAD) == (not is_high, not is_low)


@pytest.mark.parametrize(
    ("ohms", "is_sink", "is_cable"),
    [(5.1e3, True, False), (1.0e3, False, True), (0.8e3, False, True)],
)
def test_what_pulls_a_configuration_line_down_tells_sink_from_cable(
    ohms: float, is_sink: bool, is_cable: bool
) -> None:
    """5.51  Rd 5.1 kΩ, Ra 0.8 to 1.2 kΩ: USB Type-C, Tables 4-24/4-25 (READ2).

    ±10 % about Rd is the looser of the tables' columns (MEMORY).
    """
    seen = Observed(Outcome.VALUE, ohms, 2.0, "R", lead_ohms=0.2)
    sink = Yardstick("ohm", limit_low=4.59e3, limit_high=5.61e3)
    cable = Yardstick("ohm", limit_low=790.0, limit_high=1210.0)
    assert (judge(seen, sink).word is Word.GOOD) is is_sink
    assert (judge(seen, cable).word is Word.GOOD) is is_cable


@pytest.mark.parametrize(("supply", "half"), [(1.5, 0.75), (1.35, 0.675), (1.2, 0.6)])
def test_termination_is_half_the_memory_supply(supply: float, half: float) -> None:
    """5.55  V_TT = 0.5 VDDQ (READ for DDR3L); ±5 % is common practice."""
    low, high = 0.95 * supply / 2, 1.05 * supply / 2
    assert word_of(half, low, high, "cp", 0.002) is Word.GOOD
    assert word_of(half * 1.1, low, high, "cp", 0.002) is Word.BAD
