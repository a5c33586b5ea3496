"""The MOSFET test of a lifted part: rows m1 to m7. PURE.

Nothing but the part is read here, so it may be called bad.
"""

from collections.abc import Generator
from dataclasses import replace

from diagnostics.engine.guided import Answer, Ask, Mode, Procedure, Result, Said
from diagnostics.engine.mosfet_gate import Gate, read_gate, read_gate_in_ohms
from diagnostics.engine.mosfet_hand import LEAKS, Across, Hand, Pair, across, number
from diagnostics.engine.mosfet_rows import Found, none_fits, row
from diagnostics.engine.packages import Channel
from diagnostics.engine.reasons import reason

ON_TO = 0.20  # volts across a part that is switched on
TURNS_ON_FROM = 2.0  # open-circuit volts of diode mode


def lifted(hand: Hand, pair: Pair) -> Procedure:
    """From both ways across drain and source on."""
    if pair.is_short:
        why = reason("short_both_ways", volts=pair.forward_volts)
        return row("m3", Found.BAD, why)
    if pair.leaks:
        pair = yield from _once_more(hand, pair)
        if pair.leaks:
            return _leaky(pair.reverse_answer)
    gate = yield from read_gate(hand)
    if gate.is_short:
        return row("m6", Found.BAD, gate.says("gate_shorted"))
    if gate.is_leaky:
        return (yield from _leaky_gate(hand, gate))
    return _without_a_diode(pair, gate) or (yield from _charge(hand, pair, gate))


def _without_a_diode(pair: Pair, gate: Gate) -> Result | None:
    """The gate is tight, and there is no diode where it should be."""
    if pair.is_open and gate.has_junction:
        return row("m14", Found.REDO, reason("diode_elsewhere"), "check_pins")
    if pair.is_open:
        return row("m4", Found.BAD, reason("open_both_ways"), "check_pins")
    if gate.has_junction:
        return none_fits("gate_reads_junction", "compare_same_part")
    if pair.channel is Channel.UNKNOWN:
        return none_fits("channel_not_told", "name_channel")
    if not pair.is_diode:
        return none_fits("diode_out_of_range", "compare_same_part")
    return None


def _once_more(hand: Hand, pair: Pair) -> Generator[Ask, Answer, Pair]:
    """Discharged again: a charged gate conducts both ways and looks like a leak."""
    amps = hand.setup.diode_amps
    yield hand.discharge("discharge_again")
    reverse = yield hand.reverse("reverse_again")
    pair = replace(pair, reverse=across(reverse, amps), reverse_answer=reverse)
    if pair.reverse is Across.OPEN and pair.forward is not Across.DIODE:
        forward = yield replace(hand.forward(), step="forward_again")
        pair = replace(
            pair, forward=across(forward, amps), forward_volts=number(forward)
        )
    return pair


def _leaky(answer: Answer) -> Result:
    if answer.unit == "ohm":
        return row("m5", Found.BAD, reason("leaks_ohms", ohms=answer.value))
    return row("m5", Found.BAD, reason("leaks", volts=answer.value))


def _leaky_gate(hand: Hand, gate: Gate) -> Procedure:
    """m7 needs the charge to fade; without a channel there is no way to charge."""
    if hand.channel is Channel.UNKNOWN:
        return none_fits("channel_not_told", "name_channel")
    yield hand.ask("charge", Mode.ACT, "gate", "source")
    answer = yield _charged(hand)
    if _is_on(answer):
        return none_fits("leak_but_holds", "no_fingers")
    if answer.said is Said.CHOICE or hand.setup.diode_volts >= TURNS_ON_FROM:
        return row("m7", Found.BAD, gate.says("gate_leaks"))
    return none_fits("meter_too_weak", "five_volts")


def _charged(hand: Hand) -> Ask:
    ask = hand.ask("reverse_charged", Mode.DIODE, "drain", "source")
    return replace(ask, choices=("faded",))


def _is_on(answer: Answer) -> bool:
    return answer.value is not None and answer.value <= ON_TO


def _charge(hand: Hand, pair: Pair, gate: Gate) -> Procedure:
    """The diode is there and it blocks: does the gate switch it on and off?"""
    yield hand.ask("charge", Mode.ACT, "gate", "source")
    answer = yield _charged(hand)
    if _is_on(answer):
        return (yield from _off_again(hand, pair))
    if answer.said is Said.VALUE:
        return none_fits("conducts_partly", "five_volts", volts=answer.value)
    gate = yield from read_gate_in_ohms(hand, gate)
    if gate.is_short:
        return row("m6", Found.BAD, gate.says("gate_shorted"))
    is_weak = hand.setup.diode_volts < TURNS_ON_FROM
    if gate.is_leaky and (answer.said is Said.CHOICE or not is_weak):
        return row("m7", Found.BAD, gate.says("gate_leaks"))
    if answer.said is Said.CHOICE:
        return none_fits("faded_gate_open", "no_fingers")
    why = reason("meter_too_weak" if is_weak else "not_turned_on")
    return row("m2", Found.UNCLEAR, why, "five_volts")


def _off_again(hand: Hand, pair: Pair) -> Procedure:
    """Discharged it must block again; a second try before it is called leaky."""
    for step in ("discharged", "discharged_again"):
        yield hand.discharge(f"discharge_{step}")
        answer = yield hand.reverse(f"reverse_{step}")
        state = across(answer, hand.setup.diode_amps)
        if state is Across.OPEN:
            why = reason("switches", volts=pair.forward_volts)
            return row("m1", Found.GOOD, why)
    if state in LEAKS:
        return _leaky(answer)
    return none_fits("diode_out_of_range", "compare_same_part")
