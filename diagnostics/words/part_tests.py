"""What the guided part tests say: why, what would settle it, and the words."""

from django.utils.translation import gettext_noop as _

MOSFET = {
    "switches": _(
        "The diode reads {volts}, it blocks, and the gate switches it on and off."
    ),
    "not_turned_on": _(
        "The diode is there and it blocks, but charging the gate changed nothing: "
        "the meter may be too weak, or the gate is open."
    ),
    "meter_too_weak": _(
        "This meter gives less than 2 V in diode mode, which may not turn a gate on: "
        "that says nothing against the part."
    ),
    "short_both_ways": _("{volts} between drain and source, both ways: shorted."),
    "open_both_ways": _(
        "No diode between drain and source either way: open, unless the pins are "
        "others than thought."
    ),
    "leaks": _(
        "It reads {volts} in the blocking direction with the gate discharged twice: "
        "leaky."
    ),
    "leaks_ohms": _(
        "It reads {ohms} in the blocking direction with the gate discharged twice: "
        "leaky."
    ),
    "gate_shorted": _("{ohms} between the gate and another pin: gate shorted."),
    "gate_shorted_volts": _("{volts} between the gate and another pin: gate shorted."),
    "gate_leaks": _(
        "{ohms} between the gate and another pin, and the charge does not stay: "
        "the gate leaks."
    ),
    "good_in_circuit": _(
        "The diode reads {volts}, the other direction is no short, and the gate is "
        "free: likely good."
    ),
    "low_by_neighbour": _(
        "Both ends lie on nets of few ohms: a neighbour or an inductor reads along."
    ),
    "core_behind_it": _(
        "The core rail’s {ohms} behind the inductor would read {volts} here, and so "
        "it does: no evidence of a fault."
    ),
    "core_disagrees": _(
        "The core rail would read {volts} here, and it does not: one of the readings "
        "was taken in another mode or on another net."
    ),
    "parallel_diode": _("Both directions read a diode: another part lies in parallel."),
    "gate_or_driver_shorted": _(
        "{ohms} at the gate: the gate is shorted, or the driver that feeds it."
    ),
    "high_side_short": _(
        "Main to phase reads {own_ohms}, its twin {twin_ohms}, and the two rails "
        "together more: the high side is likely shorted. No power until it is settled."
    ),
    "reads_only_swapped": _(
        "A diode reads only with red and black swapped: pins or channel are others "
        "than thought."
    ),
    "not_joined": _(
        "Pins {first} to {last} should be joined inside the part, and read {ohms}: "
        "this is another pin map, or another part."
    ),
    "diode_elsewhere": _(
        "The diode is at the gate pin, not between drain and source: the pins are "
        "others than thought."
    ),
    "diode_out_of_range": _(
        "The readings lie outside what a silicon MOSFET shows: no row of the table "
        "names them."
    ),
    "channel_not_told": _(
        "Both directions read, or neither, so the channel can’t be told from them."
    ),
    "gate_reads_junction": _(
        "The gate reads like a junction: a protection diode, or other pins than "
        "thought."
    ),
    "leak_but_holds": _(
        "The gate reads leaky and yet holds its charge: fingers on the pins would "
        "read so."
    ),
    "conducts_partly": _(
        "Charged it reads {volts}: the gate does something, but does not turn it on."
    ),
    "faded_gate_open": _(
        "The charge faded though no leak reads at the gate: a touch of the pins "
        "would do that."
    ),
    "short_in_circuit": _(
        "Low both ways, but in circuit the nets read too: that alone is no fault."
    ),
    "no_diode_in_circuit": _(
        "No diode either way: a pin is not connected, the pins are others than "
        "thought, or the part is open."
    ),
    "gate_loaded": _(
        "Something of a few ohms to a few kiloohms hangs on the gate: a driver, a "
        "resistor, or a leak."
    ),
    "pin_not_reached": _("A pin could not be reached, and nothing is made of a gap."),
}

CHIPS = {
    "joined_as_mosfet": _(
        "Pins 1 to 3 are joined, and 5 to 8: a MOSFET, in about 19 of 20."
    ),
    "joined_as_dual": _(
        "Pins 5 and 6 are joined, 7 and 8 are joined, and no others: a MOSFET with "
        "two dies."
    ),
    "joined_otherwise": _(
        "Some pins are joined, but not as a single MOSFET’s: a dual, a two-in-one "
        "stage, or pins joined by the board."
    ),
    "separate_and_flash_body": _(
        "Eight separate pins in a body of a flash chip’s size, near chipset or "
        "controller: flash, in about 9 of 10."
    ),
    "pins_decide": _(
        "A MOSFET can be as big as this, but its pins would be joined: flash, in "
        "about 9 of 10."
    ),
    "tiny_body": _(
        "Eight separate pins in a tiny body: it may hold the controller’s code."
    ),
    "no_flash_body": _("Eight separate pins, but a body of no usual flash chip."),
    "flash_body_far": _(
        "A flash chip’s body, but neither chipset nor controller is near it."
    ),
}

CONTROLLER = {
    "controller_absent": _("This board has none of these points."),
    "controller_alive": _("The controller’s inputs and outputs are alive."),
    "fed_straight": _("The controller is fed straight from the always-on 3.3 V."),
    "fed_another_way": _(
        "The controller is not fed straight from the 3.3 V inductor: a bead, a "
        "broken trace or another feed; follow it."
    ),
    "sides_all": _("3.3 V stands on all {sides} sides of the controller."),
    "sides_mostly": _("3.3 V stands on {good} of {sides} sides of the controller."),
    "sides_few": _("3.3 V stands on only {good} of {sides} sides of the controller."),
    "lines_up": _("Adapter-ok and power-good are at 3.3 V."),
    "line_low": _("{point} is not at 3.3 V."),
}

WORDS = {**MOSFET, **CHIPS, **CONTROLLER}

SETTLES = {
    "check_pins": _("Find the pins anew and start again."),
    "compare_phases": _("Compare the same reading on the other phases."),
    "compare_same_part": _("Read a known-good part of the same marking the same way."),
    "five_volts": _(
        "Feed 5 V through 10 kΩ to the gate, against the source, and read drain to "
        "source again."
    ),
    "four_wire_core": _("Read the core rail by four wires."),
    "lift_part": _("Lift the part and test it again."),
    "measure_across": _("Read ohms across main and phase."),
    "name_channel": _("Find the channel from the marking and start again."),
    "no_fingers": _("Do it again without touching the pins."),
    "no_power": _("Put no power on the board meanwhile."),
    "own_map": _("Test it with its own pin map."),
    "reach_pin": _("Reach the pin from the back or at the next pad of its net."),
    "read_again": _("Read the core rail and this part again."),
    "read_marking": _("Read its marking under the microscope."),
}

NAMES = {
    "good": _("Good"),
    "bad": _("Bad"),
    "unclear": _("Unclear"),
    "no_evidence": _("Not evidence of a fault"),
    "redo": _("No verdict: do it again"),
    "mosfet": _("A MOSFET"),
    "dual_mosfet": _("A MOSFET with two dies"),
    "flash": _("A flash chip"),
    "controller_code": _("It may hold the controller’s code"),
    "alive": _("Alive"),
    "look": _("Look here"),
    "open": _("Not settled yet"),
    "absent": _("Not on this board"),
}
LIKELY = {
    "good": _("Likely good"),
    "bad": _("Likely bad"),
    "mosfet": _("Likely a MOSFET"),
    "dual_mosfet": _("Likely a MOSFET with two dies"),
    "flash": _("Likely a flash chip"),
}
