"""The steps of the guided part tests: a title, what to do, what to expect.

Message ids for gettext; {red} and {black} are the pins that the probes go on.
"""

from django.utils.translation import gettext_noop as _

DISCHARGE = (
    _("Discharge the gate"),
    _("Join gate and source with tweezers for one second: {red} and {black}."),
    "",
)
CHARGE = (
    _("Charge the gate"),
    _("Diode mode: hold red on {red} and black on {black} for one second."),
    "",
)
ACROSS = _("Diode mode: red on {red}, black on {black}.")
IN_OHMS = _("Ohms: red on {red}, black on {black}.")
BLOCKS = _("OL: it blocks")
BACK_AGAIN = (_("Does it block again?"), ACROSS, BLOCKS)

# step: title, what to do, what to expect
STEPS = {
    "power_gone": (
        _("Is the power gone?"),
        _(
            "Adapter, pack and coin cell out. Read volts on main, memory and core "
            "against ground."
        ),
        _("below 0.1 V on each (check k03)"),
    ),
    "source_joined": (
        _("Are the source pins joined?"),
        _("Ohms: red on {red}, black on each of {black}. Type the highest."),
        _("below 0.5 Ω, less the leads"),
    ),
    "drain_joined": (
        _("Are the drain pins joined?"),
        _("Ohms: red on {red}, black on each of {black}. Type the highest."),
        _("below 0.5 Ω, less the leads"),
    ),
    "discharge": DISCHARGE,
    "discharge_again": (_("Discharge once more"), *DISCHARGE[1:]),
    "discharge_discharged": DISCHARGE,
    "discharge_discharged_again": (_("Discharge once more"), *DISCHARGE[1:]),
    "forward": (_("Find the diode"), ACROSS, _("0.30 to 0.75 V")),
    "forward_again": (_("The diode again"), ACROSS, _("0.30 to 0.75 V")),
    "reverse": (_("The other way round"), ACROSS, BLOCKS),
    "reverse_again": (_("Does it still leak?"), ACROSS, BLOCKS),
    "reverse_charged": (
        _("Does it conduct now?"),
        ACROSS,
        _("0.00 to 0.20 V, for seconds"),
    ),
    "reverse_discharged": BACK_AGAIN,
    "reverse_discharged_again": BACK_AGAIN,
    "gate_source": (_("Gate to source"), ACROSS, _("OL")),
    "gate_source_back": (_("Gate to source, swapped"), ACROSS, _("OL")),
    "gate_drain": (_("Gate to drain"), ACROSS, _("OL")),
    "gate_drain_back": (_("Gate to drain, swapped"), ACROSS, _("OL")),
    "gate_source_ohms": (_("Gate to source, in ohms"), IN_OHMS, _("above 1 MΩ")),
    "gate_source_back_ohms": (
        _("Gate to source swapped, in ohms"),
        IN_OHMS,
        _("above 1 MΩ"),
    ),
    "gate_drain_ohms": (_("Gate to drain, in ohms"), IN_OHMS, _("above 1 MΩ")),
    "gate_drain_back_ohms": (
        _("Gate to drain swapped, in ohms"),
        IN_OHMS,
        _("above 1 MΩ"),
    ),
    "charge": CHARGE,
    "core_ohms": (
        _("The core rail itself"),
        _("Ohms from the core rail to ground, at the inductor’s output."),
        _("some ohms or less: that is normal"),
    ),
    "main_to_phase": (
        _("Main to this phase"),
        _("Ohms: red on the main rail, black on this part’s phase node."),
        _("as on the other phases"),
    ),
    "main_ohms": (
        _("The main rail itself"),
        _("Ohms from the main rail to ground."),
        "",
    ),
    "rail_ohms": (
        _("The rail behind the inductor"),
        _("Ohms to ground from the rail that this phase feeds."),
        "",
    ),
    "twin_to_phase": (
        _("Main to a twin phase"),
        _("Ohms: red on the main rail, black on the phase node of an equal phase."),
        "",
    ),
    "pair_56": (
        _("Pins 5 and 6"),
        _("Ohms: red on {red}, black on {black}."),
        "",
    ),
    "pair_78": (
        _("Pins 7 and 8"),
        _("Ohms: red on {red}, black on {black}."),
        "",
    ),
    "body": (
        _("How big is its body?"),
        _("Measure the body without its legs, in millimetres. Take the nearest."),
        "",
    ),
    "near": (
        _("What stands near it?"),
        _("Is the chipset or the controller within a few centimetres, either side?"),
        "",
    ),
}

# In circuit the net reads along.
IN_CIRCUIT = {
    "reverse": _("OL, or whatever the net gives"),
    "gate": _("5 kΩ and more: driver and pull-down read along"),
}
CHIP = {
    "source_joined": _("Are pins 1 to 3 joined?"),
    "drain_joined": _("Are pins 5 to 8 joined?"),
}
EITHER_CHANNEL = _("0.30 to 0.75 V on an N-channel part, OL on a P-channel part")

ROLES = {"gate": _("gate"), "source": _("source"), "drain": _("drain")}
ANSWERS = {
    "done": _("done"),
    "ol": _("OL"),
    "climbing": _("still climbing"),
    "cant_reach": _("can’t reach"),
    "not_fitted": _("no twin here"),
    "faded": _("it faded within a second"),
    "yes": _("yes"),
    "no": _("no"),
    "5.3x5.3": _("5.3 × 5.3 mm"),
    "6x5": _("6 × 5 mm"),
    "8x6": _("8 × 6 mm"),
    "4x5": _("4 × 5 mm"),
    "3.3x3.3": _("3.3 × 3.3 mm"),
    "tiny": _("smaller than 3 mm"),
    "other": _("another size"),
}
OUTLINES = {
    "eight": _("8 terminals"),
    "dual": _("8 terminals, two MOSFETs"),
    "three": _("3 terminals"),
    "own": _("own pin map"),
}
CHANNELS = {
    "n": _("N-channel"),
    "p": _("P-channel"),
    "unknown": _("channel not known"),
}
SEATS = {
    "lifted": _("lifted"),
    "anywhere": _("in circuit"),
    "low_side": _("in circuit, low side of a core phase"),
    "high_side": _("in circuit, high side of a phase"),
    "low_ohms": _("in circuit, between two nets of few ohms"),
}
LINKS = {
    "test_mosfet": _("Test it as a MOSFET"),
    "own_map": _("Test it with its own pin map"),
    "other_die": _("Test the other of the two"),
    "lifted": _("Test it again, lifted"),
    "again": _("Test it again"),
}
