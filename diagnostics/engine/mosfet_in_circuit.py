"""The MOSFET test in circuit: rows m8 to m13. PURE.

What hangs on the pins reads too, so only m12 and m13 are called bad, and only
likely so.
"""

from collections.abc import Generator
from math import isinf

from diagnostics.engine.guided import Answer, Ask, Mode, Procedure, Result, Said
from diagnostics.engine.mosfet_gate import Gate, read_gate
from diagnostics.engine.mosfet_hand import Across, Hand, Pair, net, number
from diagnostics.engine.mosfet_rows import Found, none_fits, row
from diagnostics.engine.packages import Channel, Seat
from diagnostics.engine.reasons import reason

GOOD_GATE_OHMS = 5e3
PARALLEL_TO = 0.70  # volts
CORE_TO = 0.03  # volts
CORE_GATE_OHMS = 1e3
CORE_FACTOR = 3.0  # judgement
CORE_WITHIN = 0.002  # volts, two counts of a usual meter (judgement)
TWIN_SHARE = 0.3  # judgement
SUM_SHARE = 0.7  # judgement


def in_circuit(hand: Hand, pair: Pair) -> Procedure:
    """From both ways across drain and source on."""
    if hand.setup.seat is Seat.HIGH_SIDE and not pair.is_diode:
        shorted = yield from _high_side(hand)
        if shorted is not None:
            return shorted
    gate = yield from read_gate(hand)
    if gate.is_short:
        why = gate.says("gate_or_driver_shorted")
        return row("m12", Found.BAD, why, "lift_part", is_likely=True)
    is_low_side = hand.setup.seat is Seat.LOW_SIDE
    if is_low_side and _is_core_low(pair) and gate.is_from(CORE_GATE_OHMS):
        return (yield from _core(hand, pair))
    return _with_a_free_gate(hand, pair, gate) or _unclear(pair, gate)


def _with_a_free_gate(hand: Hand, pair: Pair, gate: Gate) -> Result | None:
    """Driver and pull-down alone hang on the gate: m8, m11 and m9."""
    if not gate.is_from(GOOD_GATE_OHMS):
        return None
    if pair.is_diode:
        why = reason("good_in_circuit", volts=pair.forward_volts)
        return row("m8", Found.GOOD, why, is_likely=True)
    if _has_parallel_diode(pair):
        return row("m11", Found.UNCLEAR, reason("parallel_diode"), "lift_part")
    if pair.is_short and hand.setup.seat in {Seat.LOW_OHMS, Seat.HIGH_SIDE}:
        why = reason("low_by_neighbour")
        return row("m9", Found.UNCLEAR, why, "measure_across", "lift_part")
    return None


def _has_parallel_diode(pair: Pair) -> bool:
    if pair.forward is not Across.DIODE or pair.reverse is not Across.DIODE:
        return False
    return (pair.reverse_answer.value or 0.0) <= PARALLEL_TO


def _is_core_low(pair: Pair) -> bool:
    reverse = number(pair.reverse_answer)
    return max(pair.forward_volts, reverse) <= CORE_TO


def _core(hand: Hand, pair: Pair) -> Procedure:
    """m10: the low side reads what the core behind its inductor reads."""
    answer = yield Ask("core_ohms", Mode.OHMS)
    ohms = net(answer, hand.setup)
    expected = ohms * hand.setup.diode_amps
    both = (pair.forward_volts, number(pair.reverse_answer))
    if all(_agrees(volts, expected) for volts in both):
        why = reason("core_behind_it", volts=expected, ohms=ohms)
        settle = ("compare_phases", "four_wire_core")
        return row("m10", Found.NO_EVIDENCE, why, *settle)
    return none_fits("core_disagrees", "read_again", "lift_part", volts=expected)


def _agrees(volts: float, expected: float) -> bool:
    """Within a factor of three, or within the meter's own counts."""
    if abs(volts - expected) <= CORE_WITHIN:
        return True
    return expected / CORE_FACTOR <= volts <= expected * CORE_FACTOR


def _high_side(hand: Hand) -> Generator[Ask, Answer, Result | None]:
    """m13: main to phase against the sum of both rails, then against its twin."""
    own = net((yield Ask("main_to_phase", Mode.OHMS)), hand.setup)
    main = net((yield Ask("main_ohms", Mode.OHMS)), hand.setup)
    rail = net((yield Ask("rail_ohms", Mode.OHMS)), hand.setup)
    if own >= SUM_SHARE * (main + rail):
        return None
    answer = yield Ask("twin_to_phase", Mode.OHMS, may_be_absent=True)
    if answer.said is Said.NOT_FITTED:
        return None
    # A sound twin can't read above the path through both rails: more is a miss.
    twin = min(net(answer, hand.setup), main + rail)
    if isinf(twin) or own >= TWIN_SHARE * twin:
        return None
    why = reason("high_side_short", own_ohms=own, twin_ohms=twin)
    settle = ("no_power", "lift_part")
    return row("m13", Found.BAD, why, *settle, is_likely=True)


def _unclear(pair: Pair, gate: Gate) -> Result:
    if pair.is_short:
        return none_fits("short_in_circuit", "lift_part")
    if pair.is_open:
        return none_fits("no_diode_in_circuit", "lift_part")
    if not gate.is_from(GOOD_GATE_OHMS):
        return none_fits("gate_loaded", "lift_part")
    if pair.channel is Channel.UNKNOWN:
        return none_fits("channel_not_told", "lift_part")
    return none_fits("diode_out_of_range", "lift_part")
