"""What the bench calculators say."""

from django.utils.translation import gettext_noop as _

RESULTS = {
    # feedback divider
    "reference_lands": _(
        "{reference_volts} as reference gives {output_volts}: within {limit_percent} "
        "of the rail of {rail_volts} (judgement)."
    ),
    "reference_gives": _("{reference_volts} as reference gives {output_volts}."),
    "no_reference_lands": _(
        "None lands within {limit_percent} of a known rail (judgement)."
    ),
    "resistors_in_circuit": _(
        "Read in circuit, resistors show their value or less: lift them, or go by "
        "their markings."
    ),
    # resistor marking
    "marking_letter": _("With R for the decimal mark: {ohms}."),
    "marking_digits": _("By digits, the last a power of ten: {ohms}."),
    "marking_e96": _("By the two-digit code and its letter: {ohms}."),
    "marking_link": _("A link: nought ohms."),
    "marking_ambiguous": _("The marking can mean both: measure it, lifted."),
    # sense resistor
    "one_digit_is": _("One digit of the meter, {volts}, stands for {amps}."),
    "drop_too_small": _(
        "Fewer than {digits} digits of the meter: the drop is too small to tell a "
        "current (judgement)."
    ),
    "current_runs_back": _("The drop is negative: the current runs the other way."),
    # step-down converter
    "phase_node_mean": _("A meter on the phase node reads about {volts}, its mean."),
    "ripple_high": _(
        "{ripple_volts} of ripple is more than {limit_percent} of the output: watch "
        "at load (judgement)."
    ),
    # low ohms
    "by_four_wires": _("By four wires the leads take no part."),
    "less_the_leads": _("The leads’ own {leads_ohms} are taken off."),
    "leads_hide_it": _(
        "Less the leads it leaves {ohms}, and below {least_ohms} the leads alone vary "
        "as much (judgement): read it by four wires."
    ),
    # phases
    "phase_carries": _("Phase {number} carries {amps}."),
    "phases_may_be_shed": _("Judge only under steady load: at idle phases are shed."),
    "phases_even": _("Even: less than {limit_percent} apart (judgement)."),
    "phases_between": _(
        "Between {low_percent} and {high_percent} apart: not even, no fault by itself "
        "(judgement)."
    ),
    "phases_uneven": _(
        "More than {limit_percent} apart: watch (judgement). Compare the weak phase’s "
        "MOSFETs and driver with its twins."
    ),
    # standby budget
    "within_budget": _(
        "{amps} measured, {budget_amps} expected: not over {times} times as much."
    ),
    "over_budget": _(
        "{amps} measured is over {times} times the {budget_amps} expected: something "
        "leaks (judgement)."
    ),
    # discharge
    "never_by_tweezers": _("Never short a charged main rail with tweezers."),
    # pack
    "capacity_good": _("{limit_percent} of the design capacity or more (judgement)."),
    "capacity_watch": _(
        "Between {low_percent} and {high_percent} of the design capacity: watch "
        "(judgement)."
    ),
    "capacity_replace": _(
        "Under {limit_percent} of the design capacity: replace (judgement)."
    ),
    "cycles_counted": _("{cycles} cycles counted."),
    "cell_too_low": _(
        "Cell {number} at {volts} is below {limit_volts}: do not revive it (common "
        "practice)."
    ),
    "cells_alike": _("The cells are less than {limit_volts} apart (judgement)."),
    "cells_watch": _("The cells are {limit_volts} apart or more: watch (judgement)."),
    "cells_apart": _(
        "The cells are more than {limit_volts} apart: replace (judgement)."
    ),
    # thermal rise
    "rise_by_ohms": _("Its own copper reads {percent} more than cold (IEC 60028)."),
    "rise_is_expected": _("By its heat: what is expected, not measured."),
    # USB-C line
    "cc_nothing": _("{volts}: nothing pulls the line up; no source on this line."),
    "cc_default": _("{volts}: the source offers default USB current."),
    "cc_1_5_amperes": _("{volts}: the source offers 1.5 A."),
    "cc_3_amperes": _("{volts}: the source offers 3 A."),
    "cc_too_high": _("{volts} is above every offer: the pull-down may be missing."),
    "cc_off_band": _(
        "It lies between the bands: a pull-up or pull-down is off its value."
    ),
    "cc_other_up": _(
        "The other line reads {volts}; with one plain cable it should be near nought."
    ),
    # MOSFET that is on
    "switch_is_on": _("{volts} is not over {limit_volts}: it is on."),
    "switch_drops_much": _(
        "{volts} is over {limit_volts} across a switch that is on: watch (judgement)."
    ),
    "drop_expected": _("By its own ohms it should drop {volts}."),
    # diode mode against ohms
    "junctions_decide": _(
        "From {limit_ohms} up junctions decide what diode mode shows: nothing to "
        "compare."
    ),
    "diode_expected": _("Diode mode should show about {volts} here."),
    "diode_agrees": _("{volts} in diode mode agrees with the {expected_volts} due."),
    "diode_disagrees": _(
        "{volts} in diode mode, {expected_volts} due by the ohms: over {times} times "
        "apart. One was taken in the wrong mode or on the wrong net (judgement)."
    ),
}

INJECTION = {
    "volts_reached_first": _(
        "The supply reaches its {volts} first: {amps} flow, and it holds the volts."
    ),
    "read_the_points": _("Now read 5 to 12 points along the rail to one ground."),
    "one_point_tells_nothing": _("One point tells nothing: read at least two."),
    "rail_lowest": _(
        "Point {number}{place} reads lowest, {volts}: the short is nearest there."
    ),
    "ground_lowest": _(
        "On the ground side point {number}{place} reads lowest, {volts}: the short "
        "is nearest there."
    ),
    "lowest_is_tied": _(
        "Point {number}{place} is lowest at {volts}, but another reads the same: "
        "unclear. Take points between them, or a finer meter."
    ),
    "gradient_too_small": _(
        "Unclear: {gradient_volts} from end to end is less than {digits} digits of "
        "{resolution_volts}. More current within the limits, or a finer meter."
    ),
    "ground_side_next": _("Repeat it on the ground side to be sure of the place."),
}

REFUSALS = {
    "must_be_positive": _("“{name}” must be more than nought."),
    "must_not_be_negative": _("“{name}” must not be below nought."),
    "must_be_at_most": _("“{name}” can be at most {limit}."),
    "not_finite": _("“{name}” is no number."),
    "is_needed": _("“{name}” is needed here."),
    "beyond_reckoning": _("These values lead beyond any number. Check their units."),
    "unknown_marking": _("“{text}” is no resistor marking known here."),
    "input_below_output": _("A step-down converter’s input lies above its output."),
    "duty_beyond_one": _(
        "With that efficiency the input would be too low for this output."
    ),
    "two_ways_at_once": _("Give one way or the other, not both at once."),
    "two_phases_at_least": _("Give the drop of two phases at least."),
    "no_current_flows": _("Together no current flows forward: check the polarity."),
    "not_as_many": _("Give as many amperes as volts, in the same order."),
    "end_above_start": _("The last volts must be below the first."),
    "nothing_to_reckon": _(
        "Give its heat and thermal resistance, or its ohms cold and warm."
    ),
    "colder_than_copper_goes": _("Copper is never that cold on a bench."),
    # injection
    "unknown_board_kind": _("Say where the current goes: thin board or core plane."),
    "high_side_shorted": _(
        "Refused: a high side is shorted (k18, k19). Current into main would reach "
        "the processor."
    ),
    "high_side_open": _(
        "Refused: nothing settled says yet that no high side is shorted. Read k18 "
        "and k19 first, or let them pass by arithmetic."
    ),
    "must_be_out": _("Not before this is ticked: “{name}”."),
    "volts_over_limit": _(
        "At most {limit_volts} here: 0.9 of the nominal volts, and 1 V at first "
        "(judgement). Never above nominal."
    ),
    "amperes_over_limit": _(
        "At most {limit_amps} here: 0.5 A at first, 0.5 A more each step, 3 A on thin "
        "boards and 5 A on core planes (judgement)."
    ),
    "drop_over_supply": _(
        "{volts} is more than the supply is set to. Are the points in millivolts?"
    ),
    # entries
    "unknown_choice": _("Choose one of the answers for “{name}”."),
    "no_value_there": _("“{name}” needs a value here."),
    "too_many": _("At most {most} values fit “{name}”."),
    "mixed_units": _("Give both in the same unit, Wh or Ah."),
}

WORDS = {**RESULTS, **INJECTION, **REFUSALS}
