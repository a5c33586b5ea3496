"""The MOSFET test: the fourteen rows of its table, and what it doesn't ask."""

from dataclasses import replace
from typing import Any

import pytest

from diagnostics.engine import mosfet
from diagnostics.engine.guided import Answer, Mode, Result, Said, Taken
from diagnostics.engine.packages import Channel, Outline, Pins, Seat, Setup
from tests.engine.played import (
    FREE_GATE,
    IN_CIRCUIT,
    LIFTED,
    OPEN_GATE,
    asked,
    in_seat,
    result_of,
)

SOUND = {"forward": "0.48", "reverse": "OL"}
SHORT = {"forward": "0.002", "reverse": "0.002"}
TURNED_ON = {"reverse_charged": "0.05"}
NO_CHANGE = {"reverse_charged": "OL"}
TIGHT = {"gate_source_ohms": "OL", "gate_drain_ohms": "OL"}
UNKNOWN = replace(LIFTED, channel=Channel.UNKNOWN)
WEAK = replace(LIFTED, diode_volts=1.5)


def says(result: Result) -> tuple[str, str]:
    return result.row, result.word


def why(result: Result) -> str:
    return result.reasons[0].code


# --- lifted -------------------------------------------------------------------


def test_m1_switches_on_and_off() -> None:
    result = result_of(
        LIFTED, **SOUND, **OPEN_GATE, **TURNED_ON, reverse_discharged="OL"
    )
    assert says(result) == ("m1", "good")
    assert not result.is_likely


def test_m1_after_a_second_discharge() -> None:
    again = {"reverse_discharged": "0.04", "reverse_discharged_again": "OL"}
    result = result_of(LIFTED, **SOUND, **OPEN_GATE, **TURNED_ON, **again)
    assert says(result) == ("m1", "good")


def test_m2_is_not_turned_on() -> None:
    result = result_of(LIFTED, **SOUND, **OPEN_GATE, **NO_CHANGE, **TIGHT)
    assert says(result) == ("m2", "unclear")
    assert why(result) == "not_turned_on"
    assert result.settle == ("five_volts",)


def test_m2_names_a_meter_too_weak_to_turn_a_gate_on() -> None:
    result = result_of(WEAK, **SOUND, **OPEN_GATE, **NO_CHANGE, **TIGHT)
    assert says(result) == ("m2", "unclear")
    assert why(result) == "meter_too_weak"


def test_a_weak_meter_may_still_prove_a_part_good() -> None:
    result = result_of(WEAK, **SOUND, **OPEN_GATE, **TURNED_ON, reverse_discharged="OL")
    assert says(result) == ("m1", "good")


def test_m3_shorted_from_drain_to_source() -> None:
    assert says(result_of(LIFTED, **SHORT)) == ("m3", "bad")


def test_m3_needs_no_channel() -> None:
    assert says(result_of(UNKNOWN, **SHORT)) == ("m3", "bad")


def test_m4_open_both_ways() -> None:
    result = result_of(LIFTED, forward="OL", reverse="OL", **OPEN_GATE)
    assert says(result) == ("m4", "bad")
    assert result.settle == ("check_pins",)


@pytest.mark.parametrize("leak", ["0.2", "0.6", "1.5", "900 kΩ", "10 Ω"])
def test_m5_leaks_even_after_discharging_twice(leak: str) -> None:
    typed = {"forward": "0.45", "reverse": leak, "reverse_again": leak}
    assert says(result_of(LIFTED, **typed)) == ("m5", "bad")


def test_m5_a_leak_pulls_the_diodes_own_reading_down() -> None:
    typed = {"forward": "0.12", "reverse": "0.13", "reverse_again": "0.13"}
    assert says(result_of(LIFTED, **typed)) == ("m5", "bad")


def test_m5_does_not_block_once_it_was_charged() -> None:
    stuck = {"reverse_discharged": "0.3", "reverse_discharged_again": "0.3"}
    result = result_of(LIFTED, **SOUND, **OPEN_GATE, **TURNED_ON, **stuck)
    assert says(result) == ("m5", "bad")


def test_a_gate_left_charged_is_no_leak() -> None:
    first = {"forward": "0.11", "reverse": "0.11"}
    then = {"reverse_again": "OL", "forward_again": "0.49"}
    on_off = {**TURNED_ON, "reverse_discharged": "OL"}
    result = result_of(LIFTED, **first, **then, **OPEN_GATE, **on_off)
    assert says(result) == ("m1", "good")


def test_a_leak_that_went_away_asks_only_what_is_in_doubt() -> None:
    typed = {"forward": "0.48", "reverse": "0.3", "reverse_again": "OL"}
    steps = asked(LIFTED, **typed, **OPEN_GATE, **NO_CHANGE, **TIGHT)
    assert "forward_again" not in steps


@pytest.mark.parametrize("short", ["0.01", "0.049", "900 Ω", "4R7", "0.5 ohm"])
def test_m6_gate_shorted(short: str) -> None:
    gate = OPEN_GATE | {"gate_drain": short}
    assert says(result_of(LIFTED, **SOUND, **gate_volts(gate))) == ("m6", "bad")


def gate_volts(gate: dict[str, str]) -> dict[str, str]:
    """Bare figures of a gate reading, as volts."""
    return {k: f"{v} V" if v.startswith("0.0") else v for k, v in gate.items()}


def test_m6_volts_alone_ask_for_ohms() -> None:
    gate = OPEN_GATE | {"gate_source": "0.4 V", "gate_source_ohms": "400"}
    result = result_of(LIFTED, **SOUND, **gate)
    assert says(result) == ("m6", "bad")
    assert result.reasons[0].values == {"ohms": 400.0}


def test_m6_found_in_ohms_after_the_charge_faded() -> None:
    typed = {**OPEN_GATE, "reverse_charged": "faded", "gate_source_ohms": "800"}
    assert says(result_of(LIFTED, **SOUND, **typed)) == ("m6", "bad")


def test_m7_leaky_gate_and_the_charge_fades() -> None:
    gate = OPEN_GATE | {"gate_source": "120k"}
    for charged in ("faded", "OL"):
        result = result_of(LIFTED, **SOUND, **gate, reverse_charged=charged)
        assert says(result) == ("m7", "bad")


def test_m7_the_leak_that_diode_mode_does_not_show() -> None:
    typed = {**OPEN_GATE, "gate_source_ohms": "OL", "gate_drain_ohms": "300k"}
    for charged in ("faded", "OL"):
        result = result_of(LIFTED, **SOUND, **typed, reverse_charged=charged)
        assert says(result) == ("m7", "bad")


def test_a_weak_meter_proves_no_leaky_gate() -> None:
    gate = OPEN_GATE | {"gate_source": "120k"}
    result = result_of(WEAK, **SOUND, **gate, **NO_CHANGE)
    assert (result.word, why(result)) == ("unclear", "meter_too_weak")
    typed = {**OPEN_GATE, "gate_source_ohms": "120k", **NO_CHANGE}
    assert says(result_of(WEAK, **SOUND, **typed)) == ("m2", "unclear")


# --- in circuit ---------------------------------------------------------------


@pytest.mark.parametrize("reverse", ["OL", "climbing"])
def test_m8_good_in_circuit_and_only_likely_so(reverse: str) -> None:
    result = result_of(IN_CIRCUIT, forward="0.41", reverse=reverse, **FREE_GATE)
    assert says(result) == ("m8", "good")
    assert result.is_likely


@pytest.mark.parametrize("seat", [Seat.LOW_OHMS, Seat.HIGH_SIDE])
def test_m9_low_both_ways_by_a_neighbour(seat: Seat) -> None:
    sums = {"main_to_phase": "4.3", "main_ohms": "0.4", "rail_ohms": "4.1"}
    result = result_of(in_seat(seat), **SHORT, **FREE_GATE, **sums)
    assert says(result) == ("m9", "unclear")
    assert result.settle == ("measure_across", "lift_part")


@pytest.mark.parametrize(
    ("forward", "reverse", "core"),
    [
        ("0.004", "0.004", "4.2"),
        ("0.000", "0.001", "0.4"),
        ("0.012", "0.011", "5"),
        ("0.030", "0.028", "20"),
    ],
)
def test_m10_a_low_side_reads_the_core_behind_it(
    forward: str, reverse: str, core: str
) -> None:
    typed = {"forward": forward, "reverse": reverse, "core_ohms": core}
    gate = dict.fromkeys(FREE_GATE, "1.2k")
    result = result_of(in_seat(Seat.LOW_SIDE), **typed, **gate)
    assert says(result) == ("m10", "no_evidence")
    assert result.settle == ("compare_phases", "four_wire_core")


def test_a_low_side_that_disagrees_with_its_core_is_unclear() -> None:
    typed = {**SHORT, "core_ohms": "25", **FREE_GATE}
    result = result_of(in_seat(Seat.LOW_SIDE), **typed)
    assert (says(result), why(result)) == (("", "unclear"), "core_disagrees")


def test_m10_is_not_asked_where_the_gate_is_loaded() -> None:
    gate = dict.fromkeys(FREE_GATE, "400")
    result = result_of(in_seat(Seat.LOW_SIDE), **SHORT, **gate)
    assert (says(result), why(result)) == (("", "unclear"), "short_in_circuit")


def test_m11_a_parallel_diode() -> None:
    result = result_of(IN_CIRCUIT, forward="0.45", reverse="0.62", **FREE_GATE)
    assert says(result) == ("m11", "unclear")


def test_m11_needs_no_channel() -> None:
    setup = replace(IN_CIRCUIT, channel=Channel.UNKNOWN)
    result = result_of(setup, forward="0.45", reverse="0.62", **FREE_GATE)
    assert says(result) == ("m11", "unclear")


def test_m12_gate_or_driver_shorted_is_likely() -> None:
    gate = FREE_GATE | {"gate_source_back": "3.1"}
    result = result_of(IN_CIRCUIT, **SOUND, **in_ohms(gate))
    assert says(result) == ("m12", "bad")
    assert result.is_likely
    assert result.settle == ("lift_part",)


def in_ohms(gate: dict[str, str]) -> dict[str, str]:
    return {k: v if v.endswith("k") else f"{v} Ω" for k, v in gate.items()}


HIGH_SIDE_SHORT = {
    "main_to_phase": "0.6",
    "main_ohms": "1.2k",
    "rail_ohms": "4.1",
    "twin_to_phase": "1.1k",
}


def test_m13_high_side_short_is_likely_and_holds_power() -> None:
    result = result_of(in_seat(Seat.HIGH_SIDE), **SHORT, **HIGH_SIDE_SHORT)
    assert says(result) == ("m13", "bad")
    assert result.is_likely
    assert result.settle == ("no_power", "lift_part")


@pytest.mark.parametrize(
    "changed",
    [
        {"twin_to_phase": "not fitted"},
        {"twin_to_phase": "1.5"},
        {"main_ohms": "OL", "twin_to_phase": "OL"},
        {"main_to_phase": "OL"},
        {"main_to_phase": "1k"},
    ],
    ids=["no twin", "twin alike", "nothing to compare", "open", "as the sum"],
)
def test_a_high_side_without_proof_is_not_bad(changed: dict[str, str]) -> None:
    typed = HIGH_SIDE_SHORT | changed
    result = result_of(in_seat(Seat.HIGH_SIDE), **SHORT, **typed, **FREE_GATE)
    assert says(result) == ("m9", "unclear")


def test_a_shorted_main_rail_is_no_high_side_short() -> None:
    """Domain brief, trap 3: compared with the sum, not with a fixed number."""
    typed = {"main_to_phase": "4.3", "main_ohms": "0.4", "rail_ohms": "4.1"}
    assert result_of(in_seat(Seat.HIGH_SIDE), **SHORT, **typed, **FREE_GATE).row == "m9"


def test_a_sound_high_side_is_not_compared_with_its_twins() -> None:
    steps = asked(in_seat(Seat.HIGH_SIDE), **SOUND, **FREE_GATE)
    assert "main_to_phase" not in steps


# --- m14 and what no row names ------------------------------------------------


@pytest.mark.parametrize("setup", [LIFTED, IN_CIRCUIT])
def test_m14_reads_only_the_other_way_round(setup: Setup) -> None:
    result = result_of(setup, forward="OL", reverse="0.52")
    assert says(result) == ("m14", "redo")


@pytest.mark.parametrize("pins", ["source_joined", "drain_joined"])
@pytest.mark.parametrize("ohms", ["0.5", "OL", "12"])
def test_m14_pins_that_should_be_joined_are_not(pins: str, ohms: str) -> None:
    result = result_of(LIFTED, **{pins: ohms})
    assert says(result) == ("m14", "redo")
    assert why(result) == "not_joined"


def test_joined_is_less_the_leads() -> None:
    leads = replace(LIFTED, lead_ohms=0.3)
    assert result_of(leads, source_joined="0.7", **SHORT).row == "m3"


def test_m14_three_terminals_with_the_diode_elsewhere() -> None:
    three = replace(LIFTED, outline=Outline.THREE)
    typed = {"gate_source": "0.55 V", "gate_source_ohms": "OL"}
    result = result_of(three, forward="OL", reverse="OL", **(OPEN_GATE | typed))
    assert (says(result), why(result)) == (("m14", "redo"), "diode_elsewhere")


def test_three_terminals_have_no_joined_pins() -> None:
    three = replace(LIFTED, outline=Outline.THREE)
    assert asked(three, **SHORT) == ["discharge", "forward", "reverse"]


@pytest.mark.parametrize(
    ("setup", "typed", "code"),
    [
        (LIFTED, {"forward": "0.2", "reverse": "OL"}, "diode_out_of_range"),
        (LIFTED, {"forward": "0.9", "reverse": "OL"}, "diode_out_of_range"),
        (LIFTED, {"forward": "0.5", "reverse": "2.4"}, "diode_out_of_range"),
        (UNKNOWN, {"forward": "0.5", "reverse": "0.9"}, "channel_not_told"),
        (IN_CIRCUIT, {"forward": "0.02", "reverse": "0.02"}, "short_in_circuit"),
        (IN_CIRCUIT, {"forward": "OL", "reverse": "OL"}, "no_diode_in_circuit"),
        (IN_CIRCUIT, {"forward": "0.5", "reverse": "0.9"}, "diode_out_of_range"),
        (
            replace(IN_CIRCUIT, channel=Channel.UNKNOWN),
            {"forward": "0.9", "reverse": "0.9"},
            "channel_not_told",
        ),
    ],
)
def test_what_no_row_names_is_unclear(
    setup: Setup, typed: dict[str, str], code: str
) -> None:
    gate = OPEN_GATE if setup.is_lifted else FREE_GATE
    result = result_of(setup, **typed, **gate)
    assert (says(result), why(result)) == (("", "unclear"), code)
    assert result.settle


def test_a_loaded_gate_in_circuit_is_unclear() -> None:
    gate = FREE_GATE | {"gate_source": "1.5k"}
    result = result_of(IN_CIRCUIT, **SOUND, **gate)
    assert (says(result), why(result)) == (("", "unclear"), "gate_loaded")


def test_a_clamp_in_the_driver_is_no_short() -> None:
    gate = FREE_GATE | {"gate_source": "0.5 V", "gate_source_ohms": "22k"}
    assert result_of(IN_CIRCUIT, **SOUND, **gate).row == "m8"


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ({"gate_source": "0.6 V", "gate_source_ohms": "OL"}, "gate_reads_junction"),
        ({"gate_source": "50k", "reverse_charged": "0.1"}, "leak_but_holds"),
        ({"reverse_charged": "0.9"}, "conducts_partly"),
        ({"reverse_charged": "faded"} | TIGHT, "faded_gate_open"),
    ],
)
def test_gates_that_contradict_themselves_are_unclear(
    typed: dict[str, str], code: str
) -> None:
    result = result_of(LIFTED, **SOUND, **(OPEN_GATE | typed))
    assert (says(result), why(result)) == (("", "unclear"), code)


def test_a_leaky_gate_without_a_channel_is_unclear() -> None:
    typed = {"forward": "OL", "reverse": "OL", **OPEN_GATE, "gate_source": "50k"}
    result = result_of(UNKNOWN, **typed)
    assert (says(result), why(result)) == (("", "unclear"), "channel_not_told")


def test_stuck_and_vague_after_discharging_is_unclear() -> None:
    stuck = {"reverse_discharged": "1.1", "reverse_discharged_again": "2.2"}
    result = result_of(LIFTED, **SOUND, **OPEN_GATE, **TURNED_ON, **stuck)
    assert (says(result), why(result)) == (("", "unclear"), "diode_out_of_range")


def test_a_pin_that_cant_be_reached_ends_it_unclear() -> None:
    result = result_of(LIFTED, forward="can't reach")
    assert (says(result), why(result)) == (("", "unclear"), "pin_not_reached")


# --- channel ------------------------------------------------------------------


def test_the_conducting_direction_tells_n() -> None:
    on_off = {**TURNED_ON, "reverse_discharged": "OL"}
    assert result_of(UNKNOWN, **SOUND, **OPEN_GATE, **on_off).row == "m1"


def test_the_conducting_direction_tells_p() -> None:
    typed: dict[str, Any] = {"forward": "OL", "reverse": "0.48", **OPEN_GATE}
    on_off = {**TURNED_ON, "reverse_discharged": "OL"}
    result = result_of(UNKNOWN, **typed, **on_off)
    assert says(result) == ("m1", "good")
    assert result.reasons[0].values == {"volts": 0.48}


def test_an_unknown_p_is_charged_with_black_on_the_gate() -> None:
    taken = [Taken(pins, ohms) for pins, ohms in JOINED_ANSWERS.items()]
    taken += [
        Taken("discharge", Answer(Said.DONE)),
        Taken("forward", Answer(Said.OPEN)),
        Taken("reverse", Answer(Said.VALUE, 0.48, "V")),
        *(Taken(step, Answer(Said.OPEN)) for step in OPEN_GATE),
    ]
    ask = mosfet.next_step(UNKNOWN, taken)
    assert ask is not None
    assert (ask.step, ask.red, ask.black) == ("charge", (1, 2, 3), (4,))


JOINED_ANSWERS = {
    "source_joined": Answer(Said.VALUE, 0.1, "ohm"),
    "drain_joined": Answer(Said.VALUE, 0.1, "ohm"),
}


# --- order --------------------------------------------------------------------


def test_the_gate_is_discharged_before_anything_is_read_across() -> None:
    steps = asked(IN_CIRCUIT, **SOUND, **FREE_GATE)
    assert steps[:4] == ["power_gone", "source_joined", "drain_joined", "discharge"]
    assert steps[4:6] == ["forward", "reverse"]


def test_a_short_ends_the_test_at_once() -> None:
    assert asked(LIFTED, **SHORT)[-1] == "reverse"


def test_nothing_settled_has_no_outcome_yet() -> None:
    assert mosfet.outcome(LIFTED, ()) is None


def test_red_and_black_of_an_n_channel_part() -> None:
    ask = mosfet.next_step(LIFTED, [Taken(k, v) for k, v in JOINED_ANSWERS.items()])
    assert ask is not None
    assert (ask.step, ask.mode, ask.red, ask.black) == (
        "discharge",
        Mode.ACT,
        (4,),
        (1, 2, 3),
    )


@pytest.mark.parametrize(
    ("setup", "red", "black"),
    [
        (replace(LIFTED, outline=Outline.DUAL, die=1), (1,), (7, 8)),
        (replace(LIFTED, outline=Outline.DUAL, die=2), (3,), (5, 6)),
        (replace(LIFTED, outline=Outline.THREE), (2,), (3,)),
        (replace(LIFTED, channel=Channel.P), (5, 6, 7, 8), (1, 2, 3)),
        (
            replace(LIFTED, outline=Outline.OWN, own=Pins((1,), (2, 3), (7,))),
            (2, 3),
            (7,),
        ),
    ],
)
def test_where_the_probes_go_for_the_diode(
    setup: Setup, red: tuple[int, ...], black: tuple[int, ...]
) -> None:
    taken = [Taken(k, v) for k, v in JOINED_ANSWERS.items()]
    taken.append(Taken("discharge", Answer(Said.DONE)))
    ask = mosfet.next_step(setup, taken)
    assert ask is not None
    assert (ask.step, ask.red, ask.black) == ("forward", red, black)


def test_a_megohm_and_more_blocks() -> None:
    typed = {"forward": "0.48", "reverse": "2.2 MΩ", **OPEN_GATE, **TURNED_ON}
    assert result_of(LIFTED, **typed, reverse_discharged="5 MΩ").row == "m1"
