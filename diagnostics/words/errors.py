"""What the engine refuses, in words that say what to type instead."""

from django.utils.translation import gettext_noop as _

WORDS = {
    # typed values
    "empty": _("Type what the meter shows, or tap what happened."),
    "too_long": _("That is too long: at most {longest} characters."),
    "not_a_value": _(
        "The bench can’t read this as a value. "
        "Type a number and its unit, such as 3.28 V, 410 mV, 4.7 kΩ, 4k7 or OL."
    ),
    "foreign_digits": _("Type the digits 0 to 9; others are not read here."),
    "wrong_dimension": _("This is read in {expected}; {typed} looks like {got}."),
    "ambiguous_separator": _(
        "This could mean a thousand times more or less. Type the unit, and "
        "a point for the decimals: 1.234 kΩ or 1234 Ω."
    ),
    "negative_ohms": _(
        "Ohms are never below nought. Is there still power or charge on the board?"
    ),
    "out_of_range": _("{value} is beyond anything on a bench. Check the unit."),
    # steps of a guided part test
    "not_an_answer": _("That is no answer to this step."),
    "unit_needed": _("Type the unit too: this could be volts or ohms."),
    "hold_until_settled": _("Hold for 5 to 10 seconds and type the settled value."),
    "negative_diode": _(
        "Diode mode never reads below nought. Is there still charge on the board?"
    ),
    "beyond_diode": _("{volts} is more than any meter gives in diode mode."),
    "pins_missing": _("Type which pins are gate, source and drain."),
    "no_such_die": _("This package has no such die."),
    "not_pins": _("Type pins as numbers: 2, or 1, 3, or 5-8."),
    "no_such_pin": _("There is no pin {pin}: they are counted 1 to 8."),
    "pin_twice": _("Pin {pin} can’t be two things at once."),
    # meters
    "no_range": _("The meter “{meter}” has no range for this kind of check."),
    "beyond_range": _("The meter “{meter}” can’t have shown that: past its ranges."),
    "unknown_mode": _("No meter has a mode “{mode}”."),
    "line_without_accuracy": _("Type the accuracy: a percentage, counts, or both."),
    "no_full_scale": _(
        "Type the ranges by their full scale, such as 600 mV, 6 V, "
        "and the counts shown."
    ),
    "no_accuracy": _("The meter “{meter}” has no accuracy entered for this range."),
}
