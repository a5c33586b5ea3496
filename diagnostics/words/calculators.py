"""What the bench calculators say."""

from django.utils.translation import gettext_noop as _

WORDS = {
    "ripple_high": _("{ripple} of ripple is more than {limit} % of the output: watch."),
    "must_be_positive": _("“{name}” must be more than nought."),
    "unknown_marking": _("“{text}” is no resistor marking known here."),
    "input_below_output": _("A step-down converter’s input lies above its output."),
}
