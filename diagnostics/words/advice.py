"""What the engine says of suspects and of the next best check.

Templates for the codes of ``engine.assess``. A reading's sentence has both ranges, or
as many as the engine knows: ``_fault`` with this fault alone, ``_good`` on a good
board alone, ``_bare`` neither.
"""

from django.utils.translation import gettext_noop as _

WORDS: dict[str, str] = {
    # readings for and against a suspect
    "reading_for": _(
        "{point} read {value}; with this fault {span}, on a good board {usual_span}."
    ),
    "reading_for_fault": _("{point} read {value}; with this fault {span}."),
    "reading_for_good": _("{point} read {value}; on a good board {usual_span}."),
    "reading_for_bare": _("{point} read {value}, as with this fault."),
    "reading_against": _(
        "{point} read {value}; with this fault it would be {span}, on a good board "
        "{usual_span}."
    ),
    "reading_against_fault": _(
        "{point} read {value}; with this fault it would be {span}."
    ),
    "reading_against_good": _(
        "{point} read {value}, hardly as with this fault; on a good board {usual_span}."
    ),
    "reading_against_bare": _("{point} read {value}, hardly as with this fault."),
    # why a check is offered
    "tells_apart": _("It tells apart: {suspects}."),
    "narrows_down": _("It narrows the suspects down most for its minutes."),
    "gate_of": _("It has to be known before {check} is allowed."),
    "no_fault_or": _("It tells a good board from one with: {suspects}."),
    # why no check is offered any more
    "not_worth_it": _(
        "More checks would cost more minutes than they save: the next would take "
        "{minutes} min and hardly change the name."
    ),
    "nothing_open": _("All that could tell more is read, or held off."),
    "sure_enough": _("This is sure enough: what is left would hardly change the name."),
    # readings that don't fit together
    "read_unlike": _("Read more than once, and not alike."),
    "no_single_fault": _(
        "No single fault explains them together: a missed contact, or two faults."
    ),
}

# Where the suspects' names are not to be told.
UNTOLD = _("It is expected to tell most for its minutes.")

# Cost classes of parts: from, below, in units of the shop's currency (judgement).
COSTS: dict[str, tuple[int | None, int | None]] = {
    "A": (None, 1),
    "B": (1, 5),
    "C": (5, 20),
    "D": (20, 60),
    "E": (60, None),
}
# How likely the repair itself harms the board.
RISKS = {
    "low": _("low risk to the board"),
    "low-med": _("low to medium risk to the board"),
    "low-high": _("low to high risk to the board"),
    "med": _("medium risk to the board"),
    "high": _("high risk to the board"),
}
# What was said, by the first edge of its bin.
SAID = {
    0.0: _("under 30\N{NO-BREAK SPACE}%"),
    0.3: _("about 40\N{NO-BREAK SPACE}%"),
    0.5: _("about 60\N{NO-BREAK SPACE}%"),
    0.7: _("about 80\N{NO-BREAK SPACE}%"),
    0.9: _("over 90\N{NO-BREAK SPACE}%"),
}
