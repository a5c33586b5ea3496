"""What ``family_doctor`` says to the author of a family."""

from django.utils.translation import gettext_noop as _

WORDS = {
    # wrong
    "option_refused": _(
        "Option “{option}” of “{variant}” makes no sense when it is chosen: {why}."
    ),
    "shared_id": _("“{id}” is the id of a part and of a block; give one another id."),
    "not_made_there": _(
        "“{id}” says that block “{block}” makes it; that block, and no other, must "
        "list it under makes."
    ),
    "not_made_once": _("“{id}” must be listed under makes of one block."),
    "no_power_gates": _("There are powered checks, but power needs no gate at all."),
    "gate_needs_power": _(
        "Gate {gate} guards power, but {check}, which comes before it or is it, "
        "needs power."
    ),
    "walked_too_early": _("{check} is walked before {needed}, which it needs."),
    # worth knowing
    "unseen": _("No check shows {part}:{mode}; only looking or swapping finds it."),
    "not_told_apart": _("No check tells these apart: {modes}."),
    "tells_nothing": _("At {check} no way of failing shows."),
    "change_without_effect": _(
        "Change {number} of {part}:{mode} in the circuit changes no reading."
    ),
    "rail_unread": _("No check reads “{id}”."),
    "no_parts": _("Block “{id}” has no parts, so it never holds the fault."),
}
